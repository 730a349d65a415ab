import { expect, test } from 'vitest';
import { PLAIN_BROOD, UNKNOWN_BIRD } from '../testing/rows.ts';
import type { Barn } from './barn.ts';
import * as birdSexed from './bird-sexed.ts';
import * as birdWeight from './bird-weight.ts';
import * as birdsPlaced from './birds-placed.ts';
import * as eggWeight from './egg-weight.ts';
import * as foundDead from './found-dead.ts';

const cage = { id: 'c', code: 'A1', row: 'A', place: 1, line: null, closed: false, stocked_on: '2026-01-01' };
const brood = {
  id: 'b',
  line: 'l',
  code: '26-07',
  hatched_on: '2026-01-01',
  chicks: 10,
  note: '',
  hens: 4,
  cocks: 4,
  unsure: 0,
  ...PLAIN_BROOD,
};
const barn = (): Barn => ({
  farm: null,
  lines: new Map(),
  cages: new Map([['c', { ...cage, hens: 2, cocks: 1, unsexed: 0 }]]),
  broods: new Map([['b', { ...brood, alive: 8, unlooked: 0, placed: 6 }]]),
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
        band: null,
        sex: 'hen',
        looked_on: '2026-02-15',
        last_weight_g: 300,
        weighed_on: '2026-02-15',
      },
    ],
  ]),
});
const none = { hens: 0, cocks: 0, unsexed: 0 };

test('more dead than there were is asked about', () => {
  const dead = { cage: 'c', brood: null, birds: [], note: '', ...none };
  expect(foundDead.doubt({ ...dead, hens: 2, cocks: 1 }, barn())).toBeNull();
  expect(foundDead.doubt({ ...dead, hens: 3 }, barn())).toBe(
    'Cage A1 holds 2 hens and 1 cock. Were 3 hens found dead?',
  );
  expect(foundDead.doubt({ ...dead, cage: null, brood: 'b', unsexed: 9 }, barn())).toMatch(/8 birds alive/);
});

test('more taken out of a cage or a brood than were there is asked about', () => {
  const put = { cage: 'd', brood: null, from_cage: null, birds: [], ...none };
  expect(birdsPlaced.doubt({ ...put, from_cage: 'c', hens: 3 }, barn(), '2026-03-14')).toBeNull();
  expect(birdsPlaced.doubt({ ...put, from_cage: 'c', hens: 4 }, barn(), '2026-03-14')).toMatch(
    /Cage A1 holds 2 hens and 1 cock/,
  );
  expect(birdsPlaced.doubt({ ...put, brood: 'b', hens: 2 }, barn(), '2026-03-14')).toBeNull();
  expect(birdsPlaced.doubt({ ...put, brood: 'b', hens: 3 }, barn(), '2026-03-14')).toMatch(
    /2 birds not placed yet/,
  );
});

test('a weight no egg or bird has is asked about', () => {
  const egg = (grams: number, eggs = 1) => ({
    cage: 'c',
    eggs,
    grams,
    typed: { value: `${grams}`, unit: 'g' as const },
  });
  expect(eggWeight.doubt(egg(12.4))).toBeNull();
  expect(eggWeight.doubt(egg(155, 10))).toBeNull();
  expect(eggWeight.doubt(egg(154))).toBe('That is 154.0 g an egg. Is 154 g right?');
  const bird = (grams: number) => ({
    bird: 'x',
    brood: 'b',
    band: null,
    grams,
    typed: { value: `${grams}`, unit: 'g' as const },
  });
  expect(birdWeight.doubt(bird(312), barn())).toBeNull();
  expect(birdWeight.doubt(bird(3120), barn())).toMatch(/3120 g for one bird/);
  expect(birdWeight.doubt(bird(150), barn())).toMatch(/weighed 300 g the last time/);
});

test('one bird more than are alive is asked about, one looked at again is not', () => {
  const look = { brood: 'b', result: 'cock' as const, band: null };
  expect(birdSexed.doubt({ ...look, bird: 'new' }, barn())).toMatch(/All 8 birds/);
  expect(birdSexed.doubt({ ...look, bird: 'x' }, barn())).toBeNull();
});

test('birds bought in are asked about while they are to be kept apart, that day still within', () => {
  const here = barn();
  here.broods.set('b', {
    ...brood,
    alive: 8,
    unlooked: 0,
    placed: 0,
    bought_in: true,
    quarantine_until: '2026-03-20',
  });
  const put = { cage: 'c', brood: 'b', from_cage: null, hens: 2, cocks: 0, unsexed: 0, birds: [] };
  expect(birdsPlaced.doubt(put, here, '2026-03-20')).toMatch(/kept apart until .*20/);
  expect(birdsPlaced.doubt(put, here, '2026-03-21')).toBeNull();
});
