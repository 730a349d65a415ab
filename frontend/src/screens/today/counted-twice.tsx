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

/** Two counts of one cage in one round: side by side, and one tap on the right one strikes the others. */
export function CountedTwice({ question }: { question: Question }) {
  const { run, busy, wrong } = useWriting();
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
  return (
    <article class="asked">
      <h3>
        <a href={`/cage/${cage}`}>{code}</a>, {name} round {day}: counted{' '}
        {counts.length === 2 ? 'twice' : `${counts.length} times`}
      </h3>
      <div class="counts">
        {counts.map((count) => (
          <button key={count.id} type="button" disabled={busy || !owner} onClick={() => settle(count)}>
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
        {owner
          ? `Which is right? Tap it: the ${counts.length === 2 ? 'other is' : 'others are'} struck. `
          : 'Only the owner can say which is right. '}
        Until then these eggs are left out of the figures.
      </p>
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
