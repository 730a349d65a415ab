import { describe, expect, it } from 'vitest';
import type { BirdRow } from '../../book/index.ts';
import { UNKNOWN_BIRD } from '../../book/testing/rows.ts';
import { line } from '../testing/rows.ts';
import { isWeighDay, standings } from './cut.ts';
import type { GrowthOfLine } from './standard-age.ts';

const day = '2026-03-14';
const bird = (
  number: number,
  sex: BirdRow['sex'],
  grams: number | null,
  over: Partial<BirdRow> = {},
): BirdRow => ({
  ...UNKNOWN_BIRD,
  id: `b${number}`,
  brood: 'b',
  number,
  sex,
  last_weight_g: grams,
  weighed_on: grams === null ? null : day,
  ...over,
});
const of_line = { ...line('Moorland', 1), cock_cut_g: 297, hen_cut_g: 325 };

describe('weigh day', () => {
  const birds = [
    bird(1, 'cock', 312),
    bird(2, 'cock', 297),
    bird(3, 'cock', 297),
    bird(4, 'hen', 320),
    bird(5, 'cock', 400, { weighed_on: '2026-02-20' }),
    bird(6, 'unsure', 310),
    bird(7, 'cock', 350, { gone: 'sold', gone_on: day }),
  ];
  const hatched_on = '2026-01-17'; // 56 days before
  const stands = (n: number) =>
    standings({ birds, line: of_line, hatched_on, table: null, day })(birds[n - 1] as BirdRow);

  it('says how far over or under the cut of its sex a bird is', () => {
    expect(stands(1)).toMatchObject({ over_g: 15, cut_g: 297 });
    expect(stands(2).over_g).toBe(0);
    expect(stands(4)).toMatchObject({ over_g: -5, cut_g: 325 });
  });
  it('ranks it among those of its sex weighed this time and still here; equals share a place', () => {
    expect(stands(1).place).toEqual({ rank: 1, of: 3 });
    expect(stands(2).place).toEqual({ rank: 2, of: 3 });
    expect(stands(3).place).toEqual({ rank: 2, of: 3 });
    expect(stands(4).place).toEqual({ rank: 1, of: 1 });
  });
  it('says nothing of a bird whose sex is not known, nor of a line without a cut', () => {
    expect(stands(6)).toEqual({ over_g: null, cut_g: null, place: null, adjusted: null });
    const bare = standings({ birds, line: line('x', 2), hatched_on, table: null, day })(birds[0] as BirdRow);
    expect(bare.over_g).toBeNull();
    expect(bare.place?.rank).toBe(1);
  });
  it('holds the weight at the weighing age against the cut, and ranks by it, where the house sent factors', () => {
    const factors = (factor: number) => ({ factors: [{ age_days: 53, factor, own: true }] });
    const table = {
      standard_age_days: 56,
      sexes: { cock: factors(1.03), hen: factors(1.02) },
    } as unknown as GrowthOfLine;
    // Weighed three days early at 300 g he would be 309 g: over the cut of 297 by 12, and behind the 312 g of the day itself.
    const early = bird(8, 'cock', 300, { weighed_on: '2026-03-11' });
    const found = standings({ birds: [...birds, early], line: of_line, hatched_on, table, day })(early);
    expect(found.over_g).toBeCloseTo(12);
    expect(found.adjusted).toMatchObject({ by: 'own', age_days: 53 });
    expect(found.place).toEqual({ rank: 2, of: 4 });
    const unadjusted = standings({ birds: [...birds, early], line: of_line, hatched_on, table: null, day });
    expect(unadjusted(early)).toMatchObject({ over_g: 3, adjusted: null });
  });
  it('is the weighing age, a week before it and two after', () => {
    expect([48, 49, 56, 70, 71].map((age) => isWeighDay(of_line, age))).toEqual([
      false,
      true,
      true,
      true,
      false,
    ]);
  });
});
