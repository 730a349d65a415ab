import { lines } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { housePages } from '../frame/house-pages.ts';

/** The sheets of all lines. */
export function Sheets() {
  const pages = housePages('sheet');
  return (
    <BookPage title="Line sheets">
      {pages.length === 0 ? (
        <p>
          {lines.value.length === 0 ? 'No line in the book yet.' : 'The house has not reckoned a sheet yet.'}
        </p>
      ) : (
        <Ledger label="Line sheets">
          {pages.map(({ line, body }) => (
            <Row
              key={line.id}
              href={`/sheets/${line.id}`}
              margin={
                <>
                  <b>{body.figures.length}</b>
                  figures
                </>
              }
            >
              <strong>{line.name}</strong>
              {body.other_names.length > 0 && <span>also {body.other_names.join(', ')}</span>}
              {body.left_off.length > 0 && (
                <small>{amount(body.left_off.length, 'figure')} left off for too few records</small>
              )}
            </Row>
          ))}
        </Ledger>
      )}
    </BookPage>
  );
}
