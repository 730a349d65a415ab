import { v7 } from 'uuid';
import { describe, expect, test } from 'vitest';
import type { Bodies, BroodRow, CageRow, EntryRow, FarmRow, Kind } from '../contract.ts';
import { learn } from '../kinds/index.ts';
import { OFF_ROUND } from '../kinds/off-round.ts';
import type { Kept } from '../store/database.ts';
import { PLAIN_BROOD, PLAIN_LINE, UNKNOWN_BIRD } from '../testing/rows.ts';
import { type Rows, standing, struckRow } from './standing.ts';

learn(OFF_ROUND);

let stamp = 0;
const made = <K extends Kind>(
  kind: K,
  body: Bodies[K],
  change: Partial<Kept> & { day?: string } = {},
): Kept => {
  const { day = '2026-03-14', ...rest } = change;
  const id = v7();
  stamp += 1;
  return {
    id,
    device_seq: stamp,
    entry: { id, author: 'a', kind, version: 1, day, stamp, zone: 'UTC', body },
    state: 'waiting',
    open: 'waiting',
    ...rest,
  };
};

const cage = (change: Partial<CageRow> = {}): CageRow => ({
  id: 'c',
  code: 'A1',
  row: 'A',
  place: 1,
  line: null,
  closed: false,
  hens: 5,
  cocks: 1,
  unsexed: 0,
  stocked_on: '2026-01-01',
  ...change,
});
const brood = (change: Partial<BroodRow> = {}): BroodRow => ({
  id: 'b',
  line: 'l',
  code: '26-07',
  hatched_on: '2026-01-20',
  chicks: 48,
  alive: 46,
  hens: 2,
  cocks: 1,
  unsure: 0,
  unlooked: 43,
  placed: 0,
  note: '',
  ...PLAIN_BROOD,
  ...change,
});
const rows = (change: Partial<Rows> = {}): Rows => ({
  farm: {
    id: 'f',
    name: 'Three Alders',
    zone: 'UTC',
    weight_unit: 'g',
    rounds: [],
    example: false,
  } as FarmRow,
  lines: new Map(),
  cages: new Map([['c', cage()]]),
  broods: new Map([['b', brood()]]),
  settings: new Map(),
  trays: new Map(),
  withdrawals: new Map(),
  store: new Map(),
  orders: new Map(),
  shipments: new Map(),
  birds: new Map([
    [
      'x',
      {
        ...UNKNOWN_BIRD,
        id: 'x',
        brood: 'b',
        number: 1,
        band: 'B-1',
        sex: 'hen',
        looked_on: '2026-03-01',
        last_weight_g: null,
        weighed_on: null,
      },
    ],
  ]),
  ...change,
});
const over = (open: Kept[], change = {}) => ({ open, pulled: new Set<string>(), struck: [], ...change });
const none = { hens: 0, cocks: 0, unsexed: 0 };
const dead = (change = {}) =>
  made('found_dead', { cage: 'c', brood: null, ...none, hens: 1, birds: [], note: '', ...change });

describe('what was just entered is seen at once', () => {
  test('a hen found dead is out of the cage', () => {
    expect(standing(rows(), over([dead()])).cages.get('c')).toEqual(cage({ hens: 4 }));
  });

  test('a chick found dead is out of the brood, and need not be looked at', () => {
    const after = standing(rows(), over([dead({ cage: null, brood: 'b', hens: 0, unsexed: 2 })]));
    expect(after.broods.get('b')).toEqual(brood({ alive: 44, unlooked: 41 }));
  });

  test('a head check resets the cage; a death after it counts, one before it does not', () => {
    const check = made('head_check', { cage: 'c', hens: 3, cocks: 1, unsexed: 0 });
    expect(standing(rows(), over([dead(), check, dead()])).cages.get('c')).toMatchObject({
      hens: 2,
      cocks: 1,
    });
  });

  test('birds put from a brood into a new cage stand there, since that day', () => {
    const fresh = made('cage', { cage: 'n', code: 'B1', row: 'B', place: 1, line: 'l', closed: false });
    const put = made('birds_placed', {
      cage: 'n',
      brood: 'b',
      from_cage: null,
      hens: 4,
      cocks: 1,
      unsexed: 0,
      birds: [],
    });
    const after = standing(rows(), over([fresh, put]));
    expect(after.cages.get('n')).toMatchObject({ code: 'B1', hens: 4, cocks: 1, stocked_on: '2026-03-14' });
    expect(after.broods.get('b')?.placed).toBe(5);
  });

  test('birds moved from one cage to another leave the first, which then stands empty', () => {
    const put = made('birds_placed', {
      cage: 'd',
      brood: null,
      from_cage: 'c',
      hens: 5,
      cocks: 1,
      unsexed: 0,
      birds: [],
    });
    const cages = new Map([
      ['c', cage()],
      ['d', cage({ id: 'd', code: 'A2', ...none, stocked_on: null })],
    ]);
    const after = standing(rows({ cages }), over([put]));
    expect(after.cages.get('c')).toMatchObject({ ...none, stocked_on: null });
    expect(after.cages.get('d')).toMatchObject({ hens: 5, cocks: 1, stocked_on: '2026-03-14' });
  });

  test('birds placed as hens or cocks are not left to be looked at; the others are, one by one', () => {
    const put = made('birds_placed', {
      cage: 'c',
      brood: 'b',
      from_cage: null,
      hens: 4,
      cocks: 1,
      unsexed: 0,
      birds: [],
    });
    const looked = made('bird_sexed', { bird: 'new', brood: 'b', result: 'hen', band: null });
    const before = rows({ broods: new Map([['b', brood({ cocks: 0, hens: 0, unsure: 0, unlooked: 45 })]]) });
    const placed = standing(before, over([put]));
    expect(placed.broods.get('b')?.unlooked).toBe(40);
    const both = standing(before, over([put, looked]));
    expect(both.broods.get('b')).toMatchObject({ hens: 1, unlooked: 39 });
  });
  test('a new bird takes the next number, and its brood one unlooked less', () => {
    const look = made('bird_sexed', { bird: 'y', brood: 'b', result: 'cock', band: null });
    const after = standing(rows(), over([look]));
    expect(after.birds.get('y')).toMatchObject({ number: 2, sex: 'cock', looked_on: '2026-03-14' });
    expect(after.broods.get('b')).toEqual(brood({ cocks: 2, unlooked: 42 }));
  });

  test('a bird looked at again goes over in the tallies; no band seen leaves its band', () => {
    const looks = [
      made('bird_sexed', { bird: 'x', brood: 'b', result: 'unsure', band: null }),
      made('bird_sexed', { bird: 'x', brood: 'b', result: 'cock', band: null }),
    ];
    const after = standing(rows(), over(looks));
    expect(after.birds.get('x')).toMatchObject({ sex: 'cock', band: 'B-1' });
    expect(after.broods.get('b')).toEqual(brood({ hens: 1, cocks: 2 }));
  });

  test('a weight is the last weight; of a bird not seen before it makes a bird nobody has looked at', () => {
    const weighed = made('bird_weight', {
      bird: 'y',
      brood: 'b',
      band: 'B-2',
      grams: 301.5,
      typed: { value: '301.5', unit: 'g' },
    });
    const after = standing(rows(), over([weighed]));
    expect(after.birds.get('y')).toMatchObject({
      number: 2,
      band: 'B-2',
      sex: 'unsexed',
      last_weight_g: 301.5,
      weighed_on: '2026-03-14',
    });
    expect(after.broods.get('b')).toEqual(brood());
  });

  test('a brood corrected to fewer chicks has fewer alive', () => {
    const { id: _, alive, hens, cocks, unsure, unlooked, placed, ...body } = brood({ chicks: 47 });
    const after = standing(rows(), over([made('brood', { brood: 'b', ...body })]));
    expect(after.broods.get('b')).toEqual(brood({ chicks: 47, alive: 45, unlooked: 42 }));
  });

  test('a line and the farm written again are replaced whole', () => {
    const line = made('line', {
      line: 'l',
      name: 'Slate Barrow',
      other_names: [],
      egg_low_g: 15,
      egg_high_g: 16,
      weighing_age_days: 56,
      sexing_from_day: 42,
      sexing_to_day: 56,
      ...PLAIN_LINE,
      note: '',
    });
    const farm = made('farm', {
      name: 'Four Alders',
      zone: 'UTC',
      weight_unit: 'oz',
      rounds: [{ key: 'm', name: 'Morning', after_lay: false }],
    });
    const after = standing(rows(), over([line, farm]));
    expect(after.lines.get('l')?.name).toBe('Slate Barrow');
    expect(after.farm).toMatchObject({ id: 'f', name: 'Four Alders', weight_unit: 'oz' });
  });
});

describe('nothing is laid over the rows twice, or that counts for nothing', () => {
  test.each<[string, Partial<Kept>]>([
    ['set aside', { state: 'aside' }],
    ['waiting at the house', { state: 'sent', verdict: 'waits' }],
    ['sent before a restore', { again: true }],
  ])('an entry %s', (_, change) => {
    expect(standing(rows(), over([{ ...dead(), ...change }])).cages.get('c')).toEqual(cage());
  });

  test('an entry whose answer was lost, and that came back with the changes', () => {
    const kept = dead();
    expect(standing(rows(), over([kept], { pulled: new Set([kept.id]) })).cages.get('c')).toEqual(cage());
  });

  test('an entry struck on this phone; a strike that was set aside strikes nothing', () => {
    const kept = dead();
    const strike = made('strike', { entry: kept.id, why: '' });
    expect(standing(rows(), over([kept, strike])).cages.get('c')).toEqual(cage());
    const refused: Kept = { ...strike, state: 'aside' };
    expect(standing(rows(), over([kept, refused])).cages.get('c')).toEqual(cage({ hens: 4 }));
  });

  test('an entry of a kind or about a cage that this phone does not know', () => {
    const unknown = { ...dead(), entry: { ...dead().entry, kind: 'candling' as Kind } };
    const before = rows();
    const after = standing(before, over([unknown, dead({ cage: 'nowhere' })]));
    expect(after.cages).toBe(before.cages);
  });
});

describe('an entry in the book that this phone strikes', () => {
  const row = (kept: Kept): EntryRow => ({
    ...kept.entry,
    body: kept.entry.body as unknown as EntryRow['body'],
    state: 'stands',
    code: null,
    detail: null,
    struck_by: null,
    mends: null,
  });

  test('a death comes back to life, birds placed go back', () => {
    const placed = made('birds_placed', {
      cage: 'c',
      brood: 'b',
      from_cage: null,
      hens: 2,
      cocks: 0,
      unsexed: 0,
      birds: [],
    });
    const struck = [struckRow(row(dead()), []), struckRow(row(placed), [])];
    const before = rows({ broods: new Map([['b', brood({ placed: 2, unlooked: 41 })]]) });
    const after = standing(before, over([], { struck }));
    expect(after.cages.get('c')?.hens).toBe(5 + 1 - 2);
    expect(after.broods.get('b')?.placed).toBe(0);
  });

  test('a look at a bird: the look before it stands again; without one it is unsexed', () => {
    const first = row(
      made('bird_sexed', { bird: 'x', brood: 'b', result: 'unsure', band: null }, { day: '2026-02-20' }),
    );
    const last = row(made('bird_sexed', { bird: 'x', brood: 'b', result: 'hen', band: null }));
    const after = standing(rows(), over([], { struck: [struckRow(last, [first, last])] }));
    expect(after.birds.get('x')).toMatchObject({ sex: 'unsure', looked_on: '2026-02-20' });
    expect(after.broods.get('b')).toEqual(brood({ hens: 1, unsure: 1 }));
    const alone = standing(rows(), over([], { struck: [struckRow(last, [last])] }));
    expect(alone.birds.get('x')).toMatchObject({ sex: 'unsexed', looked_on: null });
    expect(alone.broods.get('b')).toEqual(brood({ hens: 1, unlooked: 44 }));
  });

  test('an earlier look, with a later one standing, changes nothing', () => {
    const first = row(
      made('bird_sexed', { bird: 'x', brood: 'b', result: 'unsure', band: null }, { day: '2026-02-20' }),
    );
    const last = row(made('bird_sexed', { bird: 'x', brood: 'b', result: 'hen', band: null }));
    const before = rows();
    expect(standing(before, over([], { struck: [struckRow(first, [first, last])] })).birds).toBe(
      before.birds,
    );
  });

  test('a cage written again: what was written before stands', () => {
    const first = row(made('cage', { cage: 'c', code: 'A9', row: 'A', place: 9, line: null, closed: false }));
    const last = row(made('cage', { cage: 'c', code: 'A1', row: 'A', place: 1, line: null, closed: false }));
    const after = standing(rows(), over([], { struck: [struckRow(last, [first, last])] }));
    expect(after.cages.get('c')).toEqual(cage({ code: 'A9', place: 9 }));
  });
});

test('rows that nothing was laid over stay the same maps, so that no screen is drawn again for nothing', () => {
  const before = rows();
  const after = standing(before, over([dead()]));
  expect(after.broods).toBe(before.broods);
  expect(after.lines).toBe(before.lines);
  expect(after.cages).not.toBe(before.cages);
  expect(before.cages.get('c')).toEqual(cage());
});
