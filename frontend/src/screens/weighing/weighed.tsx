import { useState } from 'preact/hooks';
import { type BirdRow, today } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { showWeight, type Unit } from '../../parts/weight.ts';
import { type Standing, standings, type WeighDay, weighedNow } from './cut.ts';
import { DECISIONS, decisionName } from './verdict.tsx';

interface Props {
  weighDay: WeighDay;
  unit: Unit;
  onDecide: ((bird: string) => void) | undefined;
}

const FIRST = 12;

/** The birds of this weigh day, by sex and then by weight, and what was decided of each. */
export function Weighed({ weighDay, unit, onDecide }: Props) {
  const standing = standings(weighDay);
  const [all, setAll] = useState(false);
  const weighed = weighDay.birds
    .filter((b) => b.gone === null && weighedNow(b, today.value))
    .map((bird) => ({ bird, stands: standing(bird) }))
    .sort((a, b) => bySex(a.bird, b.bird) || counted(b) - counted(a));
  const adjusted = weighed.some(({ stands }) => stands.adjusted && stands.adjusted.by !== 'none');
  const tally = DECISIONS.map(({ value, name }) => ({
    name,
    n: weighed.filter(({ bird }) => bird.decision === value).length,
  }));
  return (
    <section class="stack">
      <h2>
        Weighed <small class="quiet">{weighed.length}</small>
      </h2>
      <dl class="tally">
        {tally.map(({ name, n }) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{n}</dd>
          </div>
        ))}
      </dl>
      {adjusted && <p class="quiet">Over and under are of the weight adjusted to the weighing age.</p>}
      {weighed.length > 0 && (
        <Ledger narrow label="Weighed, the heaviest of each sex first">
          {(all ? weighed : weighed.slice(0, FIRST)).map(({ bird, stands }) => (
            <Row
              key={bird.id}
              margin={<b>{bird.number}</b>}
              end={
                onDecide && (
                  <Button
                    kind="quiet"
                    onClick={() => onDecide(bird.id)}
                    aria-label={`Decide on bird ${bird.number}`}
                  >
                    {decisionName(bird.decision) || 'Decide'}
                  </Button>
                )
              }
            >
              <a href={`/bird/${bird.brood}/${bird.id}`}>
                {bird.last_weight_g === null ? '' : showWeight(bird.last_weight_g, unit, 'bird')}
              </a>
              <small>{besideIt(bird, stands, unit)}</small>
            </Row>
          ))}
        </Ledger>
      )}
      {!all && weighed.length > FIRST && <Button onClick={() => setAll(true)}>All {weighed.length}</Button>}
    </section>
  );
}

const bySex = (a: BirdRow, b: BirdRow) => (a.sex < b.sex ? -1 : a.sex > b.sex ? 1 : 0);
const counted = ({ bird, stands }: { bird: BirdRow; stands: Standing }) =>
  stands.adjusted?.grams ?? bird.last_weight_g ?? 0;

const besideIt = (bird: BirdRow, { over_g }: Standing, unit: Unit): string =>
  [
    bird.sex === 'unsure' ? 'not sure' : bird.sex,
    bird.band === null ? '' : `band ${bird.band}`,
    over_g === null
      ? ''
      : over_g === 0
        ? 'at the cut'
        : over_g > 0
          ? `${showWeight(over_g, unit, 'bird')} over`
          : `${showWeight(-over_g, unit, 'bird')} under`,
  ]
    .filter(Boolean)
    .join(', ');
