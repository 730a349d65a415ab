import fc from 'fast-check';
import { expect, test } from 'vitest';
import { pauseBefore } from './backoff.ts';

test('doubles from 1 s to 5 min and stays there', () => {
  const longest = [0, 1, 2, 3, 8, 9, 50].map((attempt) => pauseBefore(attempt, 1));
  expect(longest).toEqual([1000, 2000, 4000, 8000, 256_000, 300_000, 300_000]);
});

test('is any part of that, by chance', () => {
  fc.assert(
    fc.property(fc.nat(1000), fc.double({ min: 0, max: 1, noNaN: true }), (attempt, random) => {
      const pause = pauseBefore(attempt, random);
      expect(pause).toBeGreaterThanOrEqual(0);
      expect(pause).toBeLessThanOrEqual(300_000);
      expect(pause).toBe(Math.round(random * pauseBefore(attempt, 1)));
    }),
  );
});
