import type { Day, Id } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { showWeekday } from '../../parts/days.ts';
import { canPromiseOf, planNow } from './now.ts';
import { type Answer, canPromise, unheard } from './open-orders.ts';

/** What the house says: whether so many eggs of a line may be promised for a day. `but`: an order that is not counted twice. */
export function answerFor(line: Id, eggs: number, day: Day, but?: Id): Answer {
  const row = canPromiseOf(line);
  return canPromise(row, { eggs, day, unheard: unheard(row, line, planNow(), but) });
}

export function PromiseWords({
  line,
  eggs,
  day,
  but,
  onDay,
}: {
  line: Id;
  eggs: number;
  day: Day;
  but?: Id | undefined;
  onDay?: (day: Day) => void;
}) {
  const answer = answerFor(line, eggs, day, but);
  if (answer.say === 'unknown') return <p class="quiet">{answer.why}</p>;
  if (answer.say === 'yes')
    return (
      <p>
        <b>Can be promised</b> for {showWeekday(day)}: at least 90 % sure, orders before it counted. The most
        that day is {amount(answer.most, 'egg')}.
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
