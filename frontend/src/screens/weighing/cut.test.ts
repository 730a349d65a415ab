import { describe, expect, it } from 'vitest';
import type { BirdRow } from '../../book/index.ts';
import { UNKNOWN_BIRD } from '../../book/testing/rows.ts';
import { line } from '../testing/rows.ts';
import { isWeighDay, standingOf } from './cut.ts';

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
  const stands = (n: number) => standingOf(birds[n - 1] as BirdRow, { birds, line: of_line, day });

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
    expect(stands(6)).toEqual({ over_g: null, cut_g: null, place: null });
    const bare = standingOf(birds[0] as BirdRow, { birds, line: line('x', 2), day });
    expect(bare.over_g).toBeNull();
    expect(bare.place?.rank).toBe(1);
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
