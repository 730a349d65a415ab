/** A notebook kept in a spreadsheet: the house shows what it would write, and writes it once the owner agrees. */
import { unsafely } from './customers.ts';

export type What = 'egg_counts' | 'egg_weights' | 'bird_weights' | 'hatches';

/** How a sheet is read: which column (from 0) holds what. */
export interface Plan {
  what: What;
  columns: Record<string, number>;
  /** Columns that are cages, in a sheet with one row a day. */
  across: number[];
  unit: 'g' | 'oz' | null;
  order: 'day_first' | 'month_first' | null;
  round: string | null;
}

export interface BadRow {
  number: number;
  column: string;
  reason: string;
}

export interface Shown {
  read_as: string;
  sheets: string[];
  headings: string[];
  /** Of each kind of sheet: field, and whether a row must have it. */
  may_hold: Record<What, Record<string, boolean>>;
  plan: Plan;
  missing: string[];
  order_needed: boolean;
  order_unknown: string | null;
  first_rows: (string | null)[][];
  rows: number;
  entries: number;
  already: number;
  bad: BadRow[];
  bad_rows: number;
  doubtful: BadRow[];
  doubtful_rows: number;
  agreement: string;
  written: { counts: Record<string, number>; refused: string[]; left: number } | null;
}

const PATIENCE_MS = 180_000; // a year of rounds on a small computer

/** Asks what the file would write; with `agreed`, writes the next entries of it. Rejects with `Refused` or `CannotReach`. */
export function readNotebook(
  file: File,
  how: { sheet?: string | undefined; plan?: Plan | undefined; agreed?: string | undefined } = {},
): Promise<Shown> {
  const form = new FormData();
  form.set('file', file);
  if (how.sheet !== undefined) form.set('sheet', how.sheet);
  if (how.plan !== undefined) form.set('plan', JSON.stringify(how.plan));
  if (how.agreed !== undefined) form.set('agreed', how.agreed);
  return unsafely<Shown>('POST', '/api/notebook', form, PATIENCE_MS);
}
