import type { ComponentChildren } from 'preact';
import type { HousePages } from '../../book/house-pages.ts';
import { type Id, lines } from '../../book/index.ts';
import { Choice } from '../../parts/choice.tsx';
import { now_ms } from '../../parts/clock.ts';
import { showWhen } from '../../parts/days.ts';
import { go } from '../../parts/route.ts';
import { BookPage } from './book-page.tsx';
import { type HousePage, housePage } from './house-pages.ts';
import './of-line.css';

interface Props<P extends keyof HousePages> {
  page: P;
  title: string;
  /** The address without a line: `/ahead`. */
  at: string;
  line: Id | undefined;
  /** Said where the house has not reckoned the line yet. */
  none: string;
  /** Stands above the page, whether or not anything was reckoned. */
  above?: ComponentChildren;
  children: (page: HousePage<P>) => ComponentChildren;
}

/** A page at the house of one line, with the others one tap away. */
export function OfLine<P extends keyof HousePages>({
  page,
  title,
  at,
  line,
  none,
  above,
  children,
}: Props<P>) {
  const here = lines.value.find((each) => each.id === line) ?? lines.value[0];
  const reckoned = here ? housePage(page, here.id) : null;
  return (
    <BookPage title={here ? `${title}: ${here.name}` : title}>
      {!here && above}
      {!here && <p>No line in the book yet.</p>}
      {here && (
        <div class="of-a-line">
          {lines.value.length > 1 && (
            <Choice
              label="Line"
              labelOnlyRead
              value={here.id}
              options={lines.value.map(({ id, name }) => ({ value: id, name }))}
              onChoose={(id) => go(`${at}/${id}`, 'replace')}
            />
          )}
          {above}
          {reckoned ? (
            <>
              <p class="quiet">Reckoned {showWhen(reckoned.computed_at, now_ms.value)}.</p>
              {children(reckoned)}
            </>
          ) : (
            <p>{none}</p>
          )}
        </div>
      )}
    </BookPage>
  );
}
