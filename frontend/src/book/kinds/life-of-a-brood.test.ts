/** What the hatch room, processing and sale change over the rows before the house has heard of it: hand-worked. */
import { beforeEach, describe, expect, test } from 'vitest';
import type { Bodies, Kind } from '../contract.ts';
import { PLAIN_BROOD, UNKNOWN_BIRD } from '../testing/rows.ts';
import type { Barn, Struck } from './barn.ts';
import { kindOf, learn } from './index.ts';
import { OFF_ROUND } from './off-round.ts';

learn(OFF_ROUND);

const DAY = '2026-03-14';
const BROOD = {
  ...PLAIN_BROOD,
  id: 'b',
  line: 'l',
  code: '26-07',
  hatched_on: '2026-01-20',
  chicks: 12,
  alive: 12,
  hens: 3,
  cocks: 2,
  unsure: 1,
  unlooked: 6,
  placed: 0,
  note: '',
};
let barn: Barn;

const stands = <K extends Kind>(kind: K, body: Bodies[K], day = DAY) =>
  kindOf(kind)?.stands?.(barn, { day, body });
const unstands = <K extends Kind>(kind: K, body: Bodies[K], struck: Partial<Struck<Bodies[K]>> = {}) =>
  kindOf(kind)?.unstands?.(barn, { day: DAY, body, before: null, last: true, ...struck });
const laid = (eggs: number) => [{ laid_on: '2026-02-20', eggs }];
const set = (eggs: number) =>
  stands('eggs_set', {
    setting: 's',
    code: '26-40',
    incubator: '',
    set_on: '2026-02-21',
    trays: [{ tray: 't', name: '1', line: 'l', cage: 'c', eggs: laid(eggs) }],
    note: '',
  });
const candle = (found: Partial<Bodies['candled']>): Bodies['candled'] => ({
  setting: 's',
  tray: 't',
  read: 0,
  clear: 0,
  dead_early: 0,
  unread: 0,
  broken: 0,
  removed: 0,
  note: '',
  ...found,
});

beforeEach(() => {
  const bird = (id: string, number: number, sex: 'hen' | 'cock') =>
    [id, { ...UNKNOWN_BIRD, id, brood: 'b', number, sex, looked_on: '2026-03-10' }] as const;
  barn = {
    farm: null,
    lines: new Map(),
    cages: new Map([
      [
        'c',
        {
          id: 'c',
          code: 'A1',
          row: 'A',
          place: 1,
          line: 'l',
          closed: false,
          hens: 5,
          cocks: 1,
          unsexed: 0,
          stocked_on: '2026-01-01',
        },
      ],
    ]),
    broods: new Map([['b', BROOD]]),
    birds: new Map([bird('x', 1, 'hen'), bird('y', 2, 'cock')]),
    settings: new Map(),
    trays: new Map(),
    withdrawals: new Map(),
    store: new Map(),
    orders: new Map(),
    shipments: new Map(),
  };
});

describe('the hatch room', () => {
  test('an egg too dark on day 7 and read on day 14 is read once, and what was taken out stays out', () => {
    set(20);
    stands('candled', candle({ read: 17, clear: 2, unread: 3 }), '2026-02-28');
    stands('candled', candle({ read: 18, clear: 1, dead_early: 1 }), '2026-03-07');
    // 18 read at last, and the 2 clear that were taken out before: 20 of 20.
    expect(barn.trays.get('t')).toMatchObject({ read: 20, clear: 3, dead_early: 1, unread: 0, left: 16 });
    expect(barn.settings.get('s')).toMatchObject({ eggs: 20, candled: 1 });
  });
  test('a setting written again keeps what was found in its tray', () => {
    set(20);
    stands('candled', candle({ read: 20, clear: 2 }));
    set(22);
    expect(barn.trays.get('t')).toMatchObject({ eggs: 22, left: 20, clear: 2 });
    expect(barn.settings.get('s')).toMatchObject({ eggs: 22, candled: 1 });
  });
  test('a hatch written again adds, and the brood has the chicks that were seen', () => {
    set(20);
    stands('lockdown', { setting: 's', note: '' });
    const out = { setting: 's', tray: 't', hatched: 9, pipped_dead: 1, dead_in_shell: 0, note: '' };
    stands('hatched', out);
    stands('hatched', { ...out, hatched: 3, dead_in_shell: 2 });
    expect(barn.trays.get('t')).toMatchObject({ hatched: 12, pipped_dead: 2, dead_in_shell: 2 });
    expect(barn.settings.get('s')).toMatchObject({ hatched: 12, hatched_trays: 1, locked_down_on: DAY });
    const from = { setting: 's', trays: ['t'], line: 'l', code: '26-40', hatched_on: DAY, note: '' };
    stands('brood_hatched', { brood: 'n', ...from });
    const seen = { brood: 'n', setting: 's', plumage: 'fawn', chicks: 2 };
    stands('chicks_seen', { ...seen, plumage: 'slate', chicks: 10 });
    stands('chicks_seen', seen);
    expect(barn.broods.get('n')).toMatchObject({
      chicks: 12,
      alive: 12,
      unlooked: 12,
      plumage: { slate: 10, fawn: 2 },
    });
    unstands('chicks_seen', seen);
    expect(barn.broods.get('n')).toMatchObject({ chicks: 10, alive: 10, plumage: { slate: 10, fawn: 0 } });
    expect(barn.settings.get('s')?.chicks_seen).toBe(10);
  });
  test('chicks looked at of a brood written with its number are among them', () => {
    stands('chicks_seen', { brood: 'b', setting: null, plumage: 'slate', chicks: 5 });
    expect(barn.broods.get('b')).toMatchObject({ chicks: 12, alive: 12, plumage: { slate: 5 } });
  });
});

describe('birds that leave', () => {
  const taken = { cage: null, brood: 'b', hens: 1, cocks: 0, unsexed: 0, birds: [{ bird: 'x', brood: 'b' }] };
  const whole = {
    live_g: null,
    live_typed: null,
    dressed_g: null,
    dressed_typed: null,
    pluck: null,
    note: '',
  };
  test('one known by its id is no longer among the hens of its brood; struck, it is again', () => {
    stands('processed', { ...taken, ...whole });
    expect(barn.broods.get('b')).toMatchObject({ alive: 11, hens: 2, cocks: 2, unlooked: 6 });
    expect(barn.birds.get('x')).toMatchObject({ gone: 'processed', gone_on: DAY });
    unstands('processed', { ...taken, ...whole });
    expect(barn.broods.get('b')).toEqual(BROOD);
    expect(barn.birds.get('x')).toMatchObject({ gone: null, gone_on: null });
  });
  test('out of a cage, the cage has fewer, and the brood of those that are named', () => {
    stands('birds_sold', { ...taken, cage: 'c', brood: null, hens: 2, note: '' });
    expect(barn.cages.get('c')).toMatchObject({ hens: 3, cocks: 1 });
    expect(barn.broods.get('b')).toMatchObject({ alive: 11, hens: 2 });
  });
  test('dead chicks that nobody looked at leave fewer to look at', () => {
    stands('found_dead', { ...taken, hens: 0, unsexed: 2, birds: [], note: '' });
    expect(barn.broods.get('b')).toMatchObject({ alive: 10, unlooked: 4, hens: 3 });
  });
});

test('a guess is no look', () => {
  stands('sex_guessed', { bird: 'z', brood: 'b', guess: 'cock', by: 'foam', band: 'R3' });
  expect(barn.birds.get('z')).toMatchObject({
    sex: 'unsexed',
    guess: 'cock',
    looked_on: null,
    band: 'R3',
    number: 3,
  });
  expect(barn.broods.get('b')).toEqual(BROOD);
});
