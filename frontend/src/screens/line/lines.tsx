import { broods, cages, lines, me } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { BookPage } from '../frame/book-page.tsx';

export function Lines() {
  return (
    <BookPage title="Lines">
      {lines.value.length === 0 && (
        <p>No line in the book yet. A line is a breeding population that is kept as one.</p>
      )}
      {lines.value.length > 0 && (
        <Ledger label="Lines">
          {lines.value.map((line) => {
            const of_line = cages.value.filter((c) => c.line === line.id && !c.closed);
            return (
              <Row
                key={line.id}
                href={`/line/${line.id}`}
                margin={
                  <>
                    <b>{of_line.reduce((n, c) => n + c.hens, 0)}</b>
                    hens
                  </>
                }
              >
                <strong>{line.name}</strong>
                {line.other_names.length > 0 && <span>also {line.other_names.join(', ')}</span>}
                <small>
                  {amount(of_line.length, 'cage')},{' '}
                  {amount(broods.value.filter((b) => b.line === line.id).length, 'brood')}
                </small>
              </Row>
            );
          })}
        </Ledger>
      )}
      {me.value?.role === 'owner' && (
        <a class="button plain" href="/set-up/line/new">
          A new line
        </a>
      )}
    </BookPage>
  );
}
