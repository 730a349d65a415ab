/** The pages that the house reckoned, by line: read when a screen asks, and again after each pull. */
import type { HousePages } from '../../book/house-pages.ts';
import { type Id, type LineRow, lines, rowsOfTable } from '../../book/index.ts';

export interface HousePage<P extends keyof HousePages> {
  line: LineRow;
  body: HousePages[P];
  computed_at: number;
}

/** One a line, in the order of the lines' names; empty while they are read, or where the house has not reckoned yet. */
export function housePages<P extends keyof HousePages>(page: P): HousePage<P>[] {
  const rows = new Map(rowsOfTable('figure_table').value.map((row) => [row.id, row]));
  return lines.value.flatMap((line) => {
    const row = rows.get(`${page}/${line.id}`);
    return row ? [{ line, body: row.body as HousePages[P], computed_at: row.computed_at }] : [];
  });
}

export const housePage = <P extends keyof HousePages>(page: P, line: Id): HousePage<P> | null =>
  housePages(page).find((each) => each.line.id === line) ?? null;
