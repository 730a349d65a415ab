import { describe, expect, it } from 'vitest';
import type { EggStoreRow, LineRow } from '../../book/index.ts';
import { oldestFirst, shelfOf } from './shelf.ts';

const TODAY = '2026-03-10';
const line = { id: 'l', name: 'Slate Barrow', storage_limit_days: 7 } as LineRow;
const row = (laid_on: string | null, left: number): EggStoreRow =>
  ({ id: `l/${laid_on}`, line: 'l', laid_on, left }) as EggStoreRow;
const shelf = (rows: EggStoreRow[], held: [string, number][] = []) =>
  shelfOf(line, {
    store: rows,
    withheld: held.map(([laid_on, eggs]) => ({ id: '', line: 'l', laid_on, eggs })),
    today: TODAY,
  });

describe('the shelf of a line', () => {
  it('is by day laid, the oldest first, and marks those past the line’s days', () => {
    const found = shelf([row('2026-03-09', 8), row('2026-03-02', 3), row('2026-03-05', 0), row(null, -2)]);
    expect(found.days.map((d) => [d.laid_on, d.age_days, d.past])).toEqual([
      ['2026-03-02', 8, true],
      ['2026-03-09', 1, false],
    ]);
    expect([found.fresh, found.past, found.unknown]).toEqual([8, 3, 2]);
  });
  it('leaves those of no known day that were taken long ago to those that went long ago', () => {
    const rows = [row('2026-03-09', 8), row(null, -12)];
    const of = (unknownBefore: number) =>
      shelfOf(line, { store: rows, withheld: [], today: TODAY, unknownBefore }).unknown;
    expect([of(0), of(10), of(12), of(15)]).toEqual([12, 2, 0, 0]);
  });
  it('shows what is below none, and counts it as none', () => {
    expect(shelf([row('2026-03-09', -4)])).toMatchObject({ fresh: 0, days: [{ left: -4, withheld: 0 }] });
  });
  it('gives the oldest first that are within their days then; none of the day itself, none withheld', () => {
    const found = shelf(
      [row('2026-03-02', 9), row('2026-03-04', 5), row('2026-03-08', 6), row(TODAY, 9)],
      [['2026-03-04', 3]],
    );
    const picked = oldestFirst(found, { eggs: 7, on: TODAY, oldest_days: 7 });
    expect(picked.map((p) => [p.laid_on, p.eggs])).toEqual([
      ['2026-03-04', 2],
      ['2026-03-08', 5],
    ]);
  });
  it('gives one egg to one order only', () => {
    const found = shelf([row('2026-03-08', 6)]);
    const taken = new Map<string, number>();
    const give = () => oldestFirst(found, { eggs: 4, on: TODAY, oldest_days: 7, taken }).map((p) => p.eggs);
    expect([give(), give(), give()]).toEqual([[4], [2], []]);
  });
});
