import { type CanPromiseRow, type Id, rowsOfTable } from '../../book/index.ts';

/** What the house says of a line's promises and its eggs of no known day; undefined until it has. */
export const canPromiseOf = (line: Id): CanPromiseRow | undefined =>
  rowsOfTable('can_promise').value.find((row) => row.id === line);
