import { broods, lines, me, today } from '../../book/index.ts';
import { showAge } from '../../parts/ages.ts';
import { amount } from '../../parts/amount.ts';
import { daysFrom, showDay } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { BookPage } from '../frame/book-page.tsx';

/** Every brood, the youngest first. */
export function Broods() {
  const list = [...broods.value].sort((a, b) => b.hatched_on.localeCompare(a.hatched_on));
  return (
    <BookPage title="Broods">
      {list.length === 0 && <p>No brood in the book yet.</p>}
      {list.length > 0 && (
        <Ledger label="Broods, the youngest first">
          {list.map((brood) => {
            const age = daysFrom(brood.hatched_on, today.value);
            return (
              <Row
                key={brood.id}
                href={`/brood/${brood.id}`}
                margin={
                  <>
                    <b>{age}</b>
                    {age === 1 ? 'day old' : 'days old'}
                  </>
                }
              >
                <strong>{brood.code}</strong>
                <span>{lines.value.find((l) => l.id === brood.line)?.name}</span>
                <small>
                  {amount(brood.alive, 'bird')} of {amount(brood.chicks, 'chick')}, hatched{' '}
                  {showDay(brood.hatched_on, today.value)}
                  {age >= 14 && `, ${showAge(age)}`}
                </small>
              </Row>
            );
          })}
        </Ledger>
      )}
      {me.value?.role !== 'onlooker' && (
        <a class="button plain" href="/set-up/brood/new">
          Write down a hatched brood
        </a>
      )}
      {me.value?.role !== 'onlooker' && (
        <a class="button plain" href="/broods/bought-in">
          Birds bought in
        </a>
      )}
    </BookPage>
  );
}
