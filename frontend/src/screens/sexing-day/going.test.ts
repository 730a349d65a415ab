import { describe, expect, it } from 'vitest';
import type { BirdRow } from '../../book/index.ts';
import { UNKNOWN_BIRD } from '../../book/testing/rows.ts';
import { placedUnnamed, placings, toMove } from './going.ts';

const bird = (number: number, over: Partial<BirdRow>): BirdRow => ({
  ...UNKNOWN_BIRD,
  id: `b${number}`,
  brood: 'b',
  number,
  ...over,
});
const birds = [
  bird(1, { sex: 'hen', decision: 'keep' }),
  bird(2, { sex: 'hen', decision: 'sell' }),
  bird(3, { sex: 'cock', decision: 'keep' }),
  bird(4, { sex: 'hen', cage: 'c9' }),
  bird(5, { sex: 'hen', gone: 'dead' }),
  bird(6, { sex: 'unsure' }),
];

describe('the end of sexing day', () => {
  it('moves those still here and in no cage; or of them only those to keep', () => {
    expect(toMove(birds, 'hen', 'all').map((b) => b.number)).toEqual([1, 2]);
    expect(toMove(birds, 'hen', 'keep').map((b) => b.number)).toEqual([1]);
  });
  it('writes one entry a cage, with every bird by its id', () => {
    const hens = { cage: 'c1', birds: toMove(birds, 'hen', 'all') };
    const cocks = { cage: 'c2', birds: toMove(birds, 'cock', 'all') };
    expect(placings('b', { hens, cocks })).toMatchObject([
      { cage: 'c1', hens: 2, cocks: 0, birds: [{ bird: 'b1' }, { bird: 'b2' }] },
      { cage: 'c2', hens: 0, cocks: 1, birds: [{ bird: 'b3' }] },
    ]);
    expect(placings('b', { hens, cocks: { ...cocks, cage: 'c1' } })).toMatchObject([
      { cage: 'c1', hens: 2, cocks: 1 },
    ]);
    expect(placings('b', { hens: null, cocks: null })).toEqual([]);
  });
  it('knows how many were placed without saying which', () => {
    expect(placedUnnamed({ placed: 3 }, birds)).toBe(2);
    expect(placedUnnamed({ placed: 1 }, birds)).toBe(0);
  });
});
