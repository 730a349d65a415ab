import { describe, expect, test } from 'vitest';
import type { Change, ChangesAnswer, EntryRow } from '../contract.ts';
import { CAGE, eggs, pairedPhone, TODAY } from '../testing/a-phone.ts';
import { farmBase, readMark } from './database.ts';
import { beginPull, layDown } from './lay-down.ts';
import { pruneRows } from './prune.ts';
import { newestOf, readEntriesOf, readEntriesOn, readTable } from './rows.ts';

const answer = (rows: Change[], next: number, more = false): ChangesAnswer => ({
  protocol: 1,
  house: 'h',
  book: 'b',
  house_time: 0,
  rows,
  next,
  more,
});
const cage = (id: string, code: string): Change => ({ table: 'cage', id, row: { id, code } });
const count = (id: string, day: string, stamp: number, change: Partial<EntryRow> = {}): Change => ({
  table: 'entry',
  id,
  row: {
    id,
    author: 'a',
    kind: 'egg_count',
    version: 1,
    day,
    stamp,
    zone: 'UTC',
    body: { ...eggs(stamp % 9) },
    state: 'stands',
    code: null,
    detail: null,
    struck_by: null,
    mends: null,
    ...change,
  },
});

describe('a page of changes', () => {
  test('is kept with its cursor, and says what it touched', async () => {
    const farm = farmBase(CAGE);
    const { pull } = await beginPull(farm);
    expect(await layDown(farm, { after: 0, pull, answer: answer([cage('c1', 'A1')], 7) })).toEqual(
      new Set(['cage']),
    );
    expect(await readMark(farm, 'cursor')).toBe(7);
    const change = [{ table: 'cage', id: 'c1', row: null }, cage('c2', 'A2')];
    await layDown(farm, { after: 7, pull, answer: answer(change, 9) });
    expect(await readTable(farm, 'cage')).toEqual([{ id: 'c2', code: 'A2' }]);
  });

  test('with a row that cannot be kept keeps neither its rows nor its cursor', async () => {
    const farm = farmBase(CAGE);
    const { pull } = await beginPull(farm);
    const unkept = { table: 'cage', id: 'c2', row: { id: 'c2', code: () => {} } } as unknown as Change;
    await expect(
      layDown(farm, { after: 0, pull, answer: answer([cage('c1', 'A1'), unkept], 7) }),
    ).rejects.toThrow();
    expect(await readMark(farm, 'cursor')).toBeUndefined();
    expect(await readTable(farm, 'cage')).toEqual([]);
  });

  test('that another tab has overtaken is not taken', async () => {
    const farm = farmBase(CAGE);
    const { pull } = await beginPull(farm);
    await layDown(farm, { after: 0, pull, answer: answer([cage('c1', 'A1 new')], 7) });
    expect(await layDown(farm, { after: 0, pull, answer: answer([cage('c1', 'A1 old')], 3) })).toBeNull();
    expect(await readMark(farm, 'cursor')).toBe(7);
    expect(await readTable(farm, 'cage')).toEqual([{ id: 'c1', code: 'A1 new' }]);
  });

  test('of tables that this app does not know is kept as it came', async () => {
    const { house, phone } = await pairedPhone();
    house.put('tray', 't1', { id: 't1', eggs: 60, of: { any: ['shape'] } });
    await phone.trip();
    const kept = await phone.errand.farm.use((db) => db.get('rows', ['tray', 't1']));
    expect(kept?.row).toEqual({ id: 't1', eggs: 60, of: { any: ['shape'] } });
  });
});

test('entries are found by day and by what they are about, kinds that nobody knows too', async () => {
  const farm = farmBase(CAGE);
  const rows = [
    count('e1', TODAY, 1),
    count('e2', '2026-03-13', 2),
    count('e3', TODAY, 3, { kind: 'cage_washed', body: { cage: CAGE } }),
    count('e4', TODAY, 4, { kind: 'birds_placed', body: { cage: 'other', from_cage: CAGE } }),
    count('e5', TODAY, 5, { body: { ...eggs(1, 'other') } }),
  ];
  await layDown(farm, { after: 0, pull: 1, answer: answer(rows, 5) });
  const ids = (found: EntryRow[]) => found.map(({ id }) => id);
  expect(ids(await readEntriesOn(farm, TODAY)).sort()).toEqual(['e1', 'e3', 'e4', 'e5']);
  expect(ids(await readEntriesOf(farm, `cage/${CAGE}`))).toEqual(['e2', 'e1', 'e3', 'e4']);
});

test('the newest of a subject come first, and no more are read than are enough', async () => {
  const farm = farmBase(CAGE);
  const rows = [1, 2, 3, 4].map((at) => count(`e${at}`, `2026-03-1${at}`, 10 - at));
  await layDown(farm, { after: 0, pull: 1, answer: answer(rows, 4) });
  const found = await newestOf(farm, `cage/${CAGE}`, {
    wanted: (row) => row.id !== 'e3',
    enough: (rows) => rows.length >= 2,
  });
  expect(found.map(({ id }) => id)).toEqual(['e4', 'e2']);
});

test('pulled entries of more than 90 days ago are forgotten; other rows stay', async () => {
  const farm = farmBase(CAGE);
  const rows = [count('old', '2025-12-13', 1), count('young', '2025-12-14', 2), cage('c1', 'A1')];
  await layDown(farm, { after: 0, pull: 1, answer: answer(rows, 3) });
  await pruneRows(farm, TODAY);
  expect((await readEntriesOf(farm, `cage/${CAGE}`)).map(({ id }) => id)).toEqual(['young']);
  expect(await readTable(farm, 'cage')).toHaveLength(1);
});
