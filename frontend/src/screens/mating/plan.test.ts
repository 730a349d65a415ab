import { describe, expect, test } from 'vitest';
import type { MatingBird } from '../../book/mating-page.ts';
import { asTheyStand, expected, placings, swapped, worst } from './plan.ts';

const TABLE = {
  cocks: ['m1', 'm2', 'm3'],
  hens: ['f1', 'f2', 'f3'],
  coancestry: [
    [0.1, 0.0, 0.25],
    [0.0, 0.125, 0.05],
    [0.2, 0.2, 0.2],
  ],
};
const STANDS = [
  { cage: 'A', cocks: ['m1'], hens: ['f1', 'f2'] },
  { cage: 'B', cocks: ['m2'], hens: ['f3'] },
];

describe('the plan', () => {
  test('expects the mean over its hens', () => {
    expect(expected(TABLE, STANDS)).toBeCloseTo((0.1 + 0 + 0.05) / 3);
  });

  test('takes the mean of the cocks of a shared cage', () => {
    expect(expected(TABLE, [{ cage: 'A', cocks: ['m1', 'm2'], hens: ['f1'] }])).toBeCloseTo(0.05);
  });

  test('names its worst pair', () => {
    expect(worst(TABLE, STANDS)).toEqual({ cock: 'm1', hen: 'f1', coancestry: 0.1 });
  });

  test('says nothing where no cock stands with a hen', () => {
    expect(expected(TABLE, [{ cage: 'A', cocks: [], hens: ['f1'] }])).toBeNull();
    expect(worst(TABLE, [])).toBeNull();
  });
});

describe('a swap', () => {
  test('lets two hens change places, and costs what the table says', () => {
    const after = swapped(STANDS, 'f2', 'f3');
    expect(after[0]?.hens).toEqual(['f1', 'f3']);
    // f1 0.1 and f3 0.25 with m1, f2 0.125 with m2.
    expect(expected(TABLE, after)).toBeCloseTo((0.1 + 0.25 + 0.125) / 3);
    expect(STANDS[0]?.hens).toEqual(['f1', 'f2']);
  });

  test('brings in a cock that stood nowhere', () => {
    expect(swapped(STANDS, 'm3', 'm2')[1]?.cocks).toEqual(['m3']);
  });
});

const bird = (id: string, sex: 'cock' | 'hen', brood: string): MatingBird => ({
  bird: id,
  brood,
  brood_code: brood,
  name: id,
  sex,
  hatched_on: '2026-01-01',
  cage: null,
});

describe('placing', () => {
  const birds = [
    bird('m1', 'cock', 'b1'),
    bird('f1', 'hen', 'b1'),
    bird('f2', 'hen', 'b2'),
    bird('f3', 'hen', 'b1'),
  ];
  const cageOf = (id: string) => ({ f1: 'A', f3: 'B' })[id] ?? null;

  test('moves those that stand elsewhere, by where they come from; who stands there stays', () => {
    expect(placings({ birds }, { cage: 'A', cocks: ['m1'], hens: ['f1', 'f2', 'f3'] }, cageOf)).toEqual([
      {
        cage: 'A',
        brood: 'b1',
        from_cage: null,
        hens: 0,
        cocks: 1,
        unsexed: 0,
        birds: [{ bird: 'm1', brood: 'b1' }],
      },
      {
        cage: 'A',
        brood: 'b2',
        from_cage: null,
        hens: 1,
        cocks: 0,
        unsexed: 0,
        birds: [{ bird: 'f2', brood: 'b2' }],
      },
      {
        cage: 'A',
        brood: null,
        from_cage: 'B',
        hens: 1,
        cocks: 0,
        unsexed: 0,
        birds: [{ bird: 'f3', brood: 'b1' }],
      },
    ]);
  });

  test('as they stand now', () => {
    const page = {
      birds,
      missing: null,
      plan: null,
      no_plan: null,
      ...TABLE,
      cages: [{ cage: 'A', code: 'A', cocks: 1, hens: 2 }],
    };
    expect(asTheyStand(page, cageOf)).toEqual([{ cage: 'A', cocks: [], hens: ['f1'] }]);
  });
});
