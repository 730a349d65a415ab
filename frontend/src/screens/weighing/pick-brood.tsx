import { broods, lines, today } from '../../book/index.ts';
import { showAge } from '../../parts/ages.ts';
import { amount } from '../../parts/amount.ts';
import { daysFrom } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { BookPage } from '../frame/book-page.tsx';

/** Which brood is on the scale: the one nearest its line's weighing age first. */
export function PickBrood() {
  const list = broods.value
    .filter((b) => b.alive > 0)
    .map((brood) => {
      const line = lines.value.find((l) => l.id === brood.line);
      const age = daysFrom(brood.hatched_on, today.value);
      return { brood, line, age, off: Math.abs(age - (line?.weighing_age_days ?? 56)) };
    })
    .sort((a, b) => a.off - b.off);
  return (
    <BookPage title="Weigh day">
      {list.length === 0 ? (
        <p>No brood is in the book yet.</p>
      ) : (
        <Ledger label="Broods">
          {list.map(({ brood, line, age }) => (
            <Row
              key={brood.id}
              href={`/weigh-birds/${brood.id}`}
              margin={
                <>
                  <b>{age < 100 ? `day ${age}` : age}</b>
                  {line && age <= line.weighing_age_days && `of ${line.weighing_age_days}`}
                  {line && age > line.weighing_age_days && `${age - line.weighing_age_days} past`}
                </>
              }
            >
              <strong>{brood.code}</strong>
              <span>{line?.name}</span>
              <small>
                {amount(brood.alive, 'bird')}, {showAge(age)} old
              </small>
            </Row>
          ))}
        </Ledger>
      )}
    </BookPage>
  );
}
