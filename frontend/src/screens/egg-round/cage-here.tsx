import {
  type CageRow,
  type Day,
  figures,
  lines,
  type Round,
  type RoundInCage,
  today,
} from '../../book/index.ts';
import { amount, amounts } from '../../parts/amount.ts';
import { showTime } from '../../parts/days.ts';
import { who } from '../frame/who.ts';

interface Props {
  cage: CageRow;
  round: Round;
  found: ReadonlyMap<string, RoundInCage> | undefined;
  day: Day;
  onLeaf: (leaf: 'dead' | 'note') => void;
}

/** What the cage usually gives in this round, as the house reckoned it; nothing where it could not. */
function usual(cage: CageRow, round: Round): string | null {
  const figure = figures.value
    .get(`cage/${cage.id}`)
    ?.find((f) => f.name === 'usual_count' && (f.span === round.key || f.span === ''));
  if (!figure || figure.value === null) return null;
  const between =
    figure.low === null || figure.high === null || figure.low === figure.high
      ? ''
      : ` (${figure.low}–${figure.high})`;
  return `usually ${figure.value}${between} in the last ${amount(figure.n, 'count')}`;
}

/** The cage before the thumb: its code, as large as the page allows, who stands there and what is already known of today. */
export function CageHere({ cage, round, found, day, onLeaf }: Props) {
  const line = lines.value.find((l) => l.id === cage.line);
  const counts = [...(found?.entries() ?? [])].flatMap(([key, there]) =>
    there.counts.map((c) => ({ key, c })),
  );
  const often = usual(cage, round);
  return (
    <div class="cage-here">
      <h2>
        <span class="only-read">Cage </span>
        <a href={`/cage/${cage.id}`}>{cage.code}</a>
      </h2>
      <div class="beside">
        <button type="button" onClick={() => onLeaf('dead')}>
          Found dead
        </button>
        <button type="button" onClick={() => onLeaf('note')}>
          Note
        </button>
      </div>
      <div class="facts">
        <p>
          <b>
            {amounts([
              [cage.hens, 'hen'],
              [cage.cocks, 'cock'],
              [cage.unsexed, 'unsexed', 'unsexed'],
            ]) || 'no birds'}
          </b>
          {line && <span class="line-name"> {line.name}</span>}
        </p>
        {often !== null && <p class="usual">{often}</p>}
        {counts.map(({ key, c }) => (
          <p key={c.id} class={key === round.key ? 'already this-round' : 'already'}>
            {day === today.value ? 'Today' : 'That day'}, {key === round.key ? 'this round' : key}:{' '}
            <b>{c.body.eggs}</b> by {who(c.author)}, {showTime(c.stamp)}
            {c.reason !== null && <b class="late"> in question</b>}
          </p>
        ))}
        {(found?.get(round.key)?.counts.length ?? 0) === 0 && found?.get(round.key)?.passed && (
          <p class="already">Passed over this round. A count still counts.</p>
        )}
        {found?.get(round.key)?.clash && (
          <p class="already late">
            Counted twice this round. Which is right is asked on <a href="/">Today</a>.
          </p>
        )}
      </div>
    </div>
  );
}
