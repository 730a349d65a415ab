import type { ComponentChildren } from 'preact';
import type { BirdRow, Decision, LineRow } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { showWeight, type Unit } from '../../parts/weight.ts';
import type { Standing } from './cut.ts';
import type { AtStandardAge } from './standard-age.ts';

export const DECISIONS: { value: Decision; name: string }[] = [
  { value: 'keep', name: 'Keep' },
  { value: 'sell', name: 'Sell' },
  { value: 'process', name: 'Process' },
  { value: 'hold', name: 'Hold' },
];
export const decisionName = (decision: Decision | null): string =>
  DECISIONS.find((d) => d.value === decision)?.name ?? '';

interface Props {
  bird: BirdRow;
  standing: Standing;
  line: LineRow | undefined;
  age_days: number;
  unit: Unit;
  off: boolean;
  onDecide: (decision: Decision) => void;
  onNext: () => void;
  children?: ComponentChildren;
}

/** What the scale says of the bird in the hand. The phone only proposes; the tap is the person's own. */
export function Verdict({ bird, standing, line, age_days, unit, off, onDecide, onNext, children }: Props) {
  const { over_g, cut_g, place, adjusted } = standing;
  const off_day = line && age_days !== line.weighing_age_days;
  return (
    <section class="verdict" aria-label={`Bird ${bird.number} weighed`}>
      <div class="said">
        <h2>
          Bird {bird.number}
          <small>
            {' '}
            {bird.sex === 'unsure' ? 'sex not sure' : bird.sex}
            {bird.band !== null && `, band ${bird.band}`}
          </small>
        </h2>
        <p class="grams">{bird.last_weight_g === null ? '' : showWeight(bird.last_weight_g, unit, 'bird')}</p>
        {over_g !== null && cut_g !== null ? (
          <p class="cut" data-over={over_g >= 0 || undefined}>
            <b>
              {over_g === 0
                ? 'at the cut'
                : `${showWeight(Math.abs(over_g), unit, 'bird')} ${over_g > 0 ? 'over' : 'under'}`}
            </b>{' '}
            {over_g !== 0 && `the cut of ${showWeight(cut_g, unit, 'bird')}`}
          </p>
        ) : (
          <p class="quiet">
            {bird.sex === 'cock' || bird.sex === 'hen'
              ? `The line has no cut weight for ${bird.sex}s.`
              : 'No cut without knowing the sex.'}
          </p>
        )}
        {place && (
          <p>
            {place.rank === 1 ? 'The heaviest' : `Number ${place.rank}`} of {place.of} {bird.sex}
            {place.of === 1 ? '' : 's'} weighed.
          </p>
        )}
        {off_day &&
          (adjusted ? (
            <p class="adjusted">
              <AdjustedWords at={adjusted} unit={unit} />
            </p>
          ) : (
            <p class="quiet">
              Day {age_days}; the cut is for day {line.weighing_age_days}. Not adjusted:{' '}
              {bird.sex === 'cock' || bird.sex === 'hen'
                ? 'nothing on this phone tells the growth between.'
                : 'the sex is not known.'}
            </p>
          ))}
      </div>
      <div class="decide">
        {DECISIONS.map(({ value, name }) => (
          <button
            key={value}
            type="button"
            class="key"
            disabled={off}
            aria-pressed={bird.decision === value}
            onClick={() => onDecide(value)}
          >
            {name}
            {value === 'keep' && over_g !== null && over_g >= 0 && <small>makes the cut</small>}
            {bird.decision === value && <small>as it stands</small>}
          </button>
        ))}
      </div>
      <Button onClick={onNext}>Decide later: next bird</Button>
      {children}
    </section>
  );
}

/** "Day 53: 291 g counts as 300 g at day 56, by the line's own growth." */
export function AdjustedWords({ at, unit }: { at: AtStandardAge; unit: Unit }) {
  if (at.by === 'none') return null;
  return (
    <>
      Weighed on day {at.age_days}; adjusted to day {at.standard_age_days}:{' '}
      <b>{showWeight(at.grams, unit, 'bird')}</b>,{' '}
      {at.by === 'own' ? 'by the line’s own growth' : 'by a stated growth, not yet the line’s own'}.
    </>
  );
}
