import { describe, expect, it } from 'vitest';
import type { BirdRow } from '../../book/index.ts';
import { UNKNOWN_BIRD } from '../../book/testing/rows.ts';
import { nextUnbanded, unbanded } from './next-bird.ts';

const TODAY = '2026-03-14';
const bird = (number: number, over: Partial<BirdRow>): BirdRow => ({
  id: `bird-${number}`,
  brood: 'b',
  number,
  ...UNKNOWN_BIRD,
  ...over,
});
const birds = [
  bird(3, { sex: 'hen' }),
  bird(1, { sex: 'cock' }),
  bird(2, { sex: 'hen', weighed_on: TODAY }),
  bird(4, { sex: 'hen', band: 'R1' }),
  bird(5, { sex: 'hen', weighed_on: '2026-03-01' }),
];

describe('the bird on the scale', () => {
  it('is the next unbanded one of the sex that was said, not yet weighed today', () => {
    expect(nextUnbanded(birds, 'hen', TODAY)?.number).toBe(3);
    expect(nextUnbanded(birds, 'cock', TODAY)?.number).toBe(1);
    expect(nextUnbanded(birds, 'unsure', TODAY)).toBeUndefined();
    expect(nextUnbanded(birds, 'new', TODAY)).toBeUndefined();
  });
  it('offers only what is left, and those the book does not know one by one', () => {
    expect(unbanded(birds, 8, TODAY)).toEqual([
      { group: 'cock', left: 1 },
      { group: 'hen', left: 2 },
      { group: 'new', left: 3 },
    ]);
    expect(unbanded([], 0, TODAY)).toEqual([]);
  });
  it('never means a bird that is gone, nor more birds than are alive', () => {
    const gone = [bird(1, { sex: 'cock', gone: 'dead' }), bird(2, { sex: 'cock' })];
    expect(nextUnbanded(gone, 'cock', TODAY)?.number).toBe(2);
    expect(unbanded(gone, 2, TODAY)).toEqual([
      { group: 'cock', left: 1 },
      { group: 'new', left: 1 },
    ]);
    const sold_by_number = [1, 2, 3].map((n) => bird(n, { sex: 'hen' }));
    expect(unbanded(sold_by_number, 2, TODAY)).toEqual([{ group: 'hen', left: 2 }]);
  });
});
