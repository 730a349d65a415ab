import { type Day, type Id, lines } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { showWeekday } from '../../parts/days.ts';
import { limitOf } from '../egg-store/shelf.ts';
import { canPromiseOf } from './can-promise-of.ts';
import { planNow } from './now.ts';
import { type Answer, canPromise, unheard } from './open-orders.ts';

/** What the house says: whether so many eggs of a line may be promised for a day. `but`: an order that is not counted twice. */
export function answerFor({ line, eggs, day, oldest, but }: Wish): Answer {
  const row = canPromiseOf(line);
  const younger = oldest !== null && oldest < limitOf(lines.value.find((l) => l.id === line));
  return canPromise(row, { eggs, day, unheard: unheard(row, line, planNow(), but), younger, but });
}

interface Wish {
  line: Id;
  eggs: number;
  day: Day;
  /** Days. Null: as old as the line keeps its eggs. */
  oldest: number | null;
  but?: Id | undefined;
}

export function PromiseWords({ onDay, ...wish }: Wish & { onDay?: (day: Day) => void }) {
  const { eggs, day } = wish;
  const answer = answerFor(wish);
  if (answer.say === 'unknown') return <p class="quiet">{answer.why}</p>;
  if (answer.say === 'yes')
    return (
      <p>
        <b>Can be promised</b> for {showWeekday(day)}: at least 90 % sure, with the orders before it and the
        eggs planned to be set counted. The most that day is {amount(answer.most, 'egg')}.
      </p>
    );
  const first = answer.first_day;
  return (
    <>
      <p class="late">
        <b>Not for {showWeekday(day)}</b>: at 90 % sure the most is {amount(answer.most, 'egg')}.{' '}
        {first === null
          ? `${amount(eggs, 'egg')} are more than the next weeks can promise.`
          : `The first day for ${amount(eggs, 'egg')} is ${showWeekday(first)}.`}
      </p>
      {first !== null && onDay && <Button onClick={() => onDay(first)}>Take {showWeekday(first)}</Button>}
    </>
  );
}
