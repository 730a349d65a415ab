import { type CageRow, cages, figures, lines, me } from '../../book/index.ts';
import { amount, amounts } from '../../parts/amount.ts';
import { figureValue, missingSentence, nWords } from '../../parts/figure-words.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { BookPage } from '../frame/book-page.tsx';

/** Every cage in walking order, who stands in it and what it lays. */
export function Cages() {
  const open = cages.value.filter((c) => !c.closed);
  const closed = cages.value.filter((c) => c.closed);
  const rows = [...new Set(open.map((c) => c.row))];
  return (
    <BookPage title="Cages">
      {cages.value.length === 0 && (
        <>
          <p>No cages in the book yet.</p>
          {me.value?.role === 'owner' && (
            <a class="button main" href="/set-up/cages">
              Set up cages
            </a>
          )}
        </>
      )}
      {rows.length > 0 && (
        <p class="quiet">
          Beside each cage: its lay rate over 28 days, the 95 % interval, and on how many hen-days it stands.
        </p>
      )}
      <div class="columns">
        {rows.map((row) => {
          const of_row = open.filter((c) => c.row === row);
          return (
            <section key={row} class="stack">
              <h2>
                Row {row}{' '}
                <small class="quiet">
                  {amount(
                    of_row.reduce((n, c) => n + c.hens, 0),
                    'hen',
                  )}
                </small>
              </h2>
              <Ledger narrow label={`Row ${row}`}>
                {of_row.map((cage) => (
                  <CageLine key={cage.id} cage={cage} />
                ))}
              </Ledger>
            </section>
          );
        })}
        {closed.length > 0 && (
          <section class="stack">
            <h2>Closed</h2>
            <Ledger narrow label="Closed cages">
              {closed.map((cage) => (
                <CageLine key={cage.id} cage={cage} />
              ))}
            </Ledger>
          </section>
        )}
      </div>
    </BookPage>
  );
}

function CageLine({ cage }: { cage: CageRow }) {
  return (
    <Row href={`/cage/${cage.id}`} margin={<b>{cage.code}</b>}>
      <strong>
        {amounts([
          [cage.hens, 'hen'],
          [cage.cocks, 'cock'],
          [cage.unsexed, 'unsexed', 'unsexed'],
        ]) || 'no birds'}
      </strong>
      <span>{layWords(cage)}</span>
      <small>{lines.value.find((l) => l.id === cage.line)?.name}</small>
    </Row>
  );
}

/** "84 % (79–89 %), 112 hen-days": never bare. */
export function layWords(cage: CageRow): string {
  const figure = figures.value.get(`cage/${cage.id}`)?.find((f) => f.name === 'lay_rate' && f.span === '28d');
  if (!figure) return '';
  const words = figureValue(figure);
  return words
    ? `${words.value} (${words.interval.replace(' to ', '–')}), ${nWords(figure).replace('n = ', '').replace(' hen-', '\u00a0hen-\u2060')}`
    : missingSentence(figure);
}
