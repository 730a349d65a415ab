import { broods, lines, today } from '../../book/index.ts';
import { showAge } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { broodsToSex, toLookAt, type Window } from './checklist.ts';

/** Every brood with birds to look at, the one whose window closes first on top. */
export function SexingDay() {
  const list = broodsToSex(broods.value, lines.value, today.value);
  return (
    <BookPage title="Sexing day">
      {list.length === 0 ? (
        <p>Every bird of every brood has been looked at.</p>
      ) : (
        <Ledger label="Broods to look at">
          {list.map(({ brood, window }) => (
            <Row
              key={brood.id}
              href={`/sexing/${brood.id}`}
              margin={
                <>
                  <b class={window.state === 'late' ? 'late' : undefined}>
                    {window.state === 'late' ? 'late' : `day ${window.age_days}`}
                  </b>
                  {window.state === 'late' ? `day ${window.age_days}` : windowWords(window)}
                </>
              }
            >
              <strong>{brood.code}</strong>
              <span>{lines.value.find((l) => l.id === brood.line)?.name}</span>
              <small>
                {toLookAt(brood)} left of {brood.alive}, {showAge(window.age_days)} old
              </small>
            </Row>
          ))}
        </Ledger>
      )}
    </BookPage>
  );
}

function windowWords(window: Window): string {
  return window.state === 'early' ? `from ${window.from}` : `to ${window.to}`;
}
