import type { ComponentChildren } from 'preact';
import type { HousePages } from '../../book/house-pages.ts';
import { type Id, lines } from '../../book/index.ts';
import { Choice } from '../../parts/choice.tsx';
import { now_ms } from '../../parts/clock.ts';
import { showWhen } from '../../parts/days.ts';
import { go } from '../../parts/route.ts';
import { BookPage } from './book-page.tsx';
import { type HousePage, housePages } from './house-pages.ts';
import './of-line.css';

interface Props<P extends keyof HousePages> {
  page: P;
  title: string;
  /** The address without a line: `/ahead`. */
  at: string;
  line: Id | undefined;
  /** Said where the house has reckoned no line yet. */
  none: string;
  children: (page: HousePage<P>) => ComponentChildren;
}

/** A page at the house of one line, with the others one tap away. */
export function OfLine<P extends keyof HousePages>({ page, title, at, line, none, children }: Props<P>) {
  const pages = housePages(page);
  const here = pages.find((each) => each.line.id === line) ?? pages[0];
  return (
    <BookPage title={here ? `${title}: ${here.line.name}` : title}>
      {!here && <p>{lines.value.length === 0 ? 'No line in the book yet.' : none}</p>}
      {here && (
        <div class="of-a-line">
          {pages.length > 1 && (
            <Choice
              label="Line"
              labelOnlyRead
              value={here.line.id}
              options={pages.map((each) => ({ value: each.line.id, name: each.line.name }))}
              onChoose={(id) => go(`${at}/${id}`, 'replace')}
            />
          )}
          <p class="quiet">Reckoned {showWhen(here.computed_at, now_ms.value)}.</p>
          {children(here)}
        </div>
      )}
    </BookPage>
  );
}
