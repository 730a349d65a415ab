/** The store's eggs of one line, by day laid, oldest first: how many may go out, and which are past their days. */
import type { Day, EggStoreRow, Id, LineRow, WithheldRow } from '../../book/index.ts';
import { daysFrom } from '../../parts/days.ts';

export interface OnShelf {
  laid_on: Day;
  age_days: number;
  left: number;
  /** Of these, laid within a withdrawal span: neither sold nor eaten. */
  withheld: number;
  /** Older than the line keeps its eggs. */
  past: boolean;
}

export interface Shelf {
  line: LineRow;
  days: OnShelf[];
  /** Eggs taken lately with no day given: they are among those of the days, and nobody knows which. */
  unknown: number;
  /** Within their days, and not withheld. */
  fresh: number;
  past: number;
}

export const LIMIT_DAYS = 7;
export const limitOf = (line: LineRow | undefined): number => line?.storage_limit_days || LIMIT_DAYS;

/** unknownBefore: eggs taken with no day given that the house knows to be of none in the store now. */
export function shelfOf(
  line: LineRow,
  {
    store,
    withheld,
    today,
    unknownBefore = 0,
  }: { store: Iterable<EggStoreRow>; withheld: readonly WithheldRow[]; today: Day; unknownBefore?: number },
): Shelf {
  const held = new Map(withheld.filter((w) => w.line === line.id).map((w) => [w.laid_on, w.eggs]));
  const rows = [...store].filter((row) => row.line === line.id && row.left !== 0);
  const days = rows
    .flatMap((row) => {
      if (row.laid_on === null) return [];
      const age_days = daysFrom(row.laid_on, today);
      const kept = Math.min(held.get(row.laid_on) ?? 0, Math.max(0, row.left));
      return [
        { laid_on: row.laid_on, age_days, left: row.left, withheld: kept, past: age_days > limitOf(line) },
      ];
    })
    .sort((a, b) => a.laid_on.localeCompare(b.laid_on));
  return {
    line,
    days,
    unknown: Math.max(
      0,
      -rows
        .filter((row) => row.laid_on === null)
        .reduce((n, row) => n + Math.min(0, row.left), unknownBefore),
    ),
    fresh: days.filter((d) => !d.past).reduce((n, d) => n + Math.max(0, d.left - d.withheld), 0),
    past: days.filter((d) => d.past).reduce((n, d) => n + Math.max(0, d.left), 0),
  };
}

export interface Picked {
  line: Id;
  laid_on: Day;
  eggs: number;
}

/** So many of the oldest that will still be within `oldest_days` on that day, and at least a day old. */
export function oldestFirst(
  shelf: Shelf,
  {
    eggs,
    on,
    oldest_days,
    taken = new Map(),
  }: { eggs: number; on: Day; oldest_days: number; taken?: Map<Day, number> },
): Picked[] {
  const found: Picked[] = [];
  let wanted = eggs;
  for (const { laid_on, left, withheld } of shelf.days) {
    const age = daysFrom(laid_on, on);
    const there = Math.min(wanted, left - withheld - (taken.get(laid_on) ?? 0));
    if (age < 1 || age > oldest_days || there <= 0) continue;
    found.push({ line: shelf.line.id, laid_on, eggs: there });
    taken.set(laid_on, (taken.get(laid_on) ?? 0) + there);
    wanted -= there;
  }
  return found;
}
