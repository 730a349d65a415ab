import { useState } from 'preact/hooks';
import { eggStore, fetching, lines, me, rowsOfTable, today } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { showWeekday } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { canPromiseOf } from '../orders/can-promise-of.ts';
import { Keeping } from './keeping-page.tsx';
import { CountStore } from './see.tsx';
import { limitOf, type OnShelf, type Shelf, shelfOf } from './shelf.ts';
import { TakeOut } from './take-out.tsx';

export const shelves = (): Shelf[] =>
  lines.value.map((line) =>
    shelfOf(line, {
      store: eggStore.value.values(),
      withheld: rowsOfTable('withheld').value,
      today: today.value,
      unknownBefore: canPromiseOf(line.id)?.unknown_before ?? 0,
    }),
  );

const isThere = (shelf: Shelf): boolean => shelf.days.length > 0 || shelf.unknown > 0;

/** The egg store by line and day laid: what is fresh enough to set or send, and what is past its days. */
export function EggStore() {
  const [open, setOpen] = useState<{ what: 'take' | 'see'; shelf: Shelf } | null>(null);
  const found = shelves();
  const all = found.filter(isThere);
  const empty = found.filter((shelf) => !isThere(shelf));
  const writes = me.value?.role !== 'onlooker';
  return (
    <BookPage title="Egg store">
      {all.length === 0 && (
        <p>
          {fetching.value
            ? 'Comes with the book.'
            : 'No eggs are in the store. Sound eggs of each egg round come into it, by line and day laid.'}
        </p>
      )}
      <div class="columns">
        {all.map((shelf) => (
          <section key={shelf.line.id} class="stack">
            <h2>
              {shelf.line.name} <small class="quiet">{amount(shelf.fresh, 'egg')} to set or send</small>
            </h2>
            <Days shelf={shelf} />
            {writes && (
              <div class="side-by-side">
                <Button
                  aria-label={`Take out eggs of ${shelf.line.name}`}
                  onClick={() => setOpen({ what: 'take', shelf })}
                >
                  Take out
                </Button>
                <Button
                  aria-label={`Count the eggs of ${shelf.line.name}`}
                  onClick={() => setOpen({ what: 'see', shelf })}
                >
                  Count them
                </Button>
              </div>
            )}
          </section>
        ))}
      </div>
      {writes && empty.length > 0 && (
        <section class="stack">
          {all.length === 0 && <p>Eggs that were there before the first round are counted in.</p>}
          {empty.map((shelf) => (
            <Button key={shelf.line.id} onClick={() => setOpen({ what: 'see', shelf })}>
              Count the eggs of {shelf.line.name}
            </Button>
          ))}
        </section>
      )}
      <Keeping />
      {open?.what === 'take' && <TakeOut shelf={open.shelf} onClose={() => setOpen(null)} />}
      {open?.what === 'see' && <CountStore shelf={open.shelf} onClose={() => setOpen(null)} />}
    </BookPage>
  );
}

function Days({ shelf }: { shelf: Shelf }) {
  const limit = limitOf(shelf.line);
  const each = shelf.days.filter((day) => !day.past || day.left < 0).reverse();
  const past = shelf.days.filter((day) => day.past && day.left > 0);
  const [first, last] = [past[0], past.at(-1)];
  return (
    <Ledger narrow label={`Eggs of ${shelf.line.name}, by day laid, the newest first`}>
      {each.map((day) => (
        <Row key={day.laid_on} margin={<b class={day.left < 0 ? 'late' : undefined}>{day.left}</b>}>
          <span>
            Laid {showWeekday(day.laid_on)}, {old(day)}
          </span>
          <Said day={day} />
        </Row>
      ))}
      {first && last && (
        <Row margin={<b class="late">{shelf.past}</b>}>
          <span>
            Laid {showWeekday(first.laid_on)}
            {first !== last && ` to ${showWeekday(last.laid_on)}`}
          </span>
          <small class="late">
            Past the {limit} days that this line keeps eggs. Take them out, or count what is there.
          </small>
        </Row>
      )}
      {shelf.unknown > 0 && (
        <Row margin={<b>−{shelf.unknown}</b>}>
          <span>Taken, of days that nobody gave</span>
          <small>They are among the eggs above, nobody knows which.</small>
        </Row>
      )}
    </Ledger>
  );
}

const old = ({ age_days }: OnShelf): string =>
  age_days === 0 ? 'today' : age_days < 0 ? 'tomorrow' : `${amount(age_days, 'day')} old`;

function Said({ day }: { day: OnShelf }) {
  const parts = [
    day.left < 0 && 'More were taken than the book has. Count what is there.',
    day.withheld > 0 && `${day.withheld} laid within a withdrawal span: neither to be sold nor eaten.`,
  ].filter((part) => part !== false);
  return parts.length === 0 ? null : <small class="late">{parts.join(' ')}</small>;
}
