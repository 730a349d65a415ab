/** Eggs of the store, by line and day laid: how they come and go among the rows. */
import type { Day, EggStoreRow, Id, StoreEggs } from '../contract.ts';
import type { Barn } from './barn.ts';
import { count, id, orNull, type Refusal, wrong } from './fields.ts';
import { all, day, listOf } from './more-fields.ts';

export const MOST = 200;
export const MOST_ORDERED = 9999;

export const STORE_EGGS = { line: id, laid_on: orNull(day), eggs: count({ least: 1 }) };
export const storeEggs = listOf(all(STORE_EGGS), { least: 1, most: MOST });

/** Each day of lay of a line (for one order) is named once. */
export function checkOnce(eggs: readonly (StoreEggs & { order?: Id | null })[]): Refusal | null {
  const named = eggs.map(({ order, line, laid_on }) => `${order} ${line} ${laid_on}`);
  return new Set(named).size < named.length
    ? wrong('eggs', 'must name each day of lay of a line once')
    : null;
}

export const inAll = (eggs: readonly { eggs: number }[]): number =>
  eggs.reduce((n, each) => n + each.eggs, 0);

export const storeId = (line: Id, laidOn: Day | null): string => `${line}/${laidOn ?? 'unknown'}`;

export type Taken = 'set' | 'packed' | 'eaten' | 'sold_to_eat' | 'thrown_away';

/** The row of that line and day; an empty one where nothing was ever said of it. */
export const storeRow = (barn: Barn, line: Id, laidOn: Day | null): EggStoreRow =>
  barn.store.get(storeId(line, laidOn)) ?? {
    id: storeId(line, laidOn),
    line,
    laid_on: laidOn,
    collected: 0,
    seen: null,
    seen_on: null,
    set: 0,
    packed: 0,
    eaten: 0,
    sold_to_eat: 0,
    thrown_away: 0,
    left: 0,
  };

/** Eggs leave the store, or come back into it (times -1). */
export function take(barn: Barn, how: Taken, eggs: readonly StoreEggs[], times: 1 | -1 = 1): void {
  for (const { line, laid_on, eggs: number } of eggs) {
    const row = storeRow(barn, line, laid_on);
    const taken = times * number;
    barn.store.set(row.id, { ...row, [how]: row[how] + taken, left: row.left - taken });
  }
}
