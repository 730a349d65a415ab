import { type BroodRow, broods, lines, today } from '../../book/index.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { broodsToSex, type Window } from './checklist.ts';

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
            <Row key={brood.id} href={`/sexing/${brood.id}`} margin={<Margin window={window} />}>
              <strong>{brood.code}</strong>
              <span>{lines.value.find((l) => l.id === brood.line)?.name}</span>
              <small>
                {leftWords(brood)}; {brood.alive} alive
              </small>
            </Row>
          ))}
        </Ledger>
      )}
    </BookPage>
  );
}

function Margin({ window: { state, age_days, from, to } }: { window: Window }) {
  if (state === 'late')
    return (
      <>
        <b class="late">late</b>day {age_days}
      </>
    );
  if (state === 'again')
    return (
      <>
        <b>again</b>day {age_days}
      </>
    );
  return (
    <>
      <b>day {age_days}</b>
      {state === 'early' ? `from ${from}` : `to ${to}`}
    </>
  );
}

/** "6 to look at, 6 not sure". */
function leftWords(brood: BroodRow): string {
  return [
    brood.unlooked > 0 ? `${brood.unlooked} to look at` : '',
    brood.unsure > 0 ? `${brood.unsure} not sure` : '',
  ]
    .filter(Boolean)
    .join(', ');
}
