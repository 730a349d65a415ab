import { describe, expect, it } from 'vitest';
import type { BirdToChoose, ChoosingPage, Kept } from '../../book/choosing-page.ts';
import { gainOf, inbreedingOf, keptAt, offTypes, staying } from './reading.ts';

const bird = (
  n: number,
  sex: 'cock' | 'hen',
  grams: number,
  over: Partial<BirdToChoose> = {},
): BirdToChoose => ({
  bird: `b${n}`,
  brood: 'one',
  number: n,
  band: null,
  sex,
  grams,
  day: '2026-03-01',
  own_curve: true,
  plumage: null,
  decision: null,
  cage: null,
  value_g: null,
  low_g: null,
  high_g: null,
  rank: null,
  ranks: [],
  ...over,
});
const kept = (n: number, cut_g: number, gain: Kept['gain']): Kept => ({
  kept: n,
  cut_g,
  mean_g: cut_g,
  differential_g: 0,
  gain,
});
const by_kept = [
  kept(1, 320, [4, 2, 6]),
  kept(2, 310, [3, 1, 5]),
  kept(3, 310, [2, 1, 3]),
  kept(4, 290, [0, 0, 0]),
];
const group = {
  key: 'one',
  code: '26-01',
  hatched_on: '2026-01-01',
  first_day: '2026-02-26',
  last_day: '2026-02-26',
  sexes: { cock: { birds: 4, mean_g: 305, by_kept }, hen: { birds: 4, mean_g: 305, by_kept } },
};

describe('the table by number kept', () => {
  it('keeps every bird at the cut or over it, those alike together', () => {
    expect(keptAt(by_kept, 330)).toBe(0);
    expect(keptAt(by_kept, 320)).toBe(1);
    expect(keptAt(by_kept, 310)).toBe(3);
    expect(keptAt(by_kept, 0)).toBe(4);
  });
  it('adds what each sex gives the chicks, and says nothing of one sex alone', () => {
    expect(gainOf(group, { cock: 1, hen: 2 })).toEqual([7, 3, 11]);
    expect(gainOf(group, { cock: 1, hen: 0 })).toBeNull();
  });
});

describe('those who stay', () => {
  const birds = [
    bird(1, 'hen', 330, { plumage: 'brown', brood: 'two' }),
    bird(2, 'cock', 320, { plumage: 'cream' }),
    bird(3, 'hen', 310, { plumage: 'cream' }),
    bird(4, 'cock', 300),
  ];
  const page = {
    type: 'cream',
    birds,
    kin: {
      broods: ['one', 'two'],
      coancestry: [
        [0.1, 0.02],
        [0.02, 0.1],
      ],
      all_parents_known: true,
    },
  } as unknown as ChoosingPage;
  it('are the heaviest of each sex', () => {
    expect(staying(birds, { cock: 1, hen: 1 }).map((b) => b.number)).toEqual([1, 2]);
  });
  it('have off-types among those whose plumage was seen', () => {
    expect(offTypes(page, birds)).toEqual({ off: 1, seen: 3 });
  });
  it('give chicks as inbred as the mean of their pairs', () => {
    // One cock of brood one with a hen of two (0.02) and a hen of one (0.1).
    expect(inbreedingOf(page, birds.slice(0, 3))).toBeCloseTo(0.06);
  });
});
