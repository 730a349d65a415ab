import { useState } from 'preact/hooks';
import { cages, type EntryView, farm, isOf, me, type Question, strike, today } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { showDay, showTime } from '../../parts/days.ts';
import { mayStrike } from '../frame/may-strike.ts';
import { useWriting } from '../frame/use-writing.ts';
import { who } from '../frame/who.ts';

type Count = EntryView<'egg_count'>;

function classes({ body }: Count): string {
  const some = (n: number, word: string) => (n > 0 ? [`${n} ${word}`] : []);
  return [
    ...some(body.cracked, 'cracked'),
    ...some(body.soiled, 'soiled'),
    ...some(body.thin_shelled, 'thin-shelled'),
  ].join(', ');
}

/**
 * Two counts of one cage in one round: side by side. A tap on the right one asks once more, since the others are struck, and a
 * strike cannot be taken back.
 */
export function CountedTwice({ question }: { question: Question }) {
  const { run, busy, wrong } = useWriting();
  const [chosen, setChosen] = useState<string | null>(null);
  const counts = question.entries.filter((entry) => isOf(entry, 'egg_count'));
  const [first] = counts;
  if (!first) return null;
  const { cage, round } = first.body;
  const code = cages.value.find((c) => c.id === cage)?.code ?? 'a cage not on this phone yet';
  const name = farm.value?.rounds.find((r) => r.key === round)?.name.toLowerCase() ?? round;
  const day = first.day === today.value ? 'today' : showDay(first.day, today.value);
  const others = (right: Count) => counts.filter((count) => count.id !== right.id);
  const settle = (right: Count) =>
    run(async () => {
      const why = `counted twice: ${right.body.eggs} by ${who(right.author)} is right`;
      for (const { id } of others(right)) await strike(id, why);
    });
  const owner = me.value?.role === 'owner';
  const right = counts.find(({ id }) => id === chosen);
  return (
    <article class="asked">
      <h3>
        <a href={`/cage/${cage}`}>{code}</a>, {name} round {day}: counted{' '}
        {counts.length === 2 ? 'twice' : `${counts.length} times`}
      </h3>
      <div class="counts">
        {counts.map((count) => (
          <button
            key={count.id}
            type="button"
            disabled={busy || !owner}
            aria-pressed={count === right}
            onClick={() => setChosen(count.id)}
          >
            <span>
              <b>{count.body.eggs}</b> {count.body.eggs === 1 ? 'egg' : 'eggs'}
            </span>
            <span>
              {who(count.author)}, {showTime(count.stamp)}
            </span>
            {classes(count) !== '' && <small>{classes(count)}</small>}
          </button>
        ))}
      </div>
      {wrong !== null && <p class="late">{wrong}</p>}
      <p class="quiet">
        {owner ? 'Which is right? Tap it. ' : 'Only the owner can say which is right. '}
        Until then these eggs are left out of the figures.
      </p>
      {right && (
        <>
          <Button kind="strike" disabled={busy} onClick={() => settle(right)}>
            Keep {right.body.eggs}, strike{' '}
            {others(right)
              .map((count) => `${count.body.eggs} by ${who(count.author)}`)
              .join(' and ')}
          </Button>
          <Button disabled={busy} onClick={() => setChosen(null)}>
            Not yet
          </Button>
        </>
      )}
      {!owner && <Own counts={counts} />}
    </article>
  );
}

/** Whoever may not settle it may still take back their own. */
function Own({ counts }: { counts: Count[] }) {
  const { run, busy, wrong } = useWriting();
  const own = counts.filter(mayStrike);
  return (
    <>
      {own.map((count) => (
        <Button
          key={count.id}
          kind="strike"
          disabled={busy}
          onClick={() => run(() => strike(count.id, 'counted twice: mine is not right'))}
        >
          Strike my {amount(count.body.eggs, 'egg')}
        </Button>
      ))}
      {wrong !== null && <p class="late">{wrong}</p>}
    </>
  );
}
