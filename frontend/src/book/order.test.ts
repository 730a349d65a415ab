import fc from 'fast-check';
import { expect, test } from 'vitest';
import { compare, insert, type Ordered } from './order.ts';

const ordered: fc.Arbitrary<Ordered> = fc.record({
  id: fc.uuid(),
  day: fc.constantFrom('2026-03-13', '2026-03-14'),
  stamp: fc.nat(3),
});

test('by day, then stamp, then id', () => {
  const at = (day: string, stamp: number, id: string) => ({ day, stamp, id });
  const right = [
    at('2026-03-13', 9, 'z'),
    at('2026-03-14', 1, 'b'),
    at('2026-03-14', 2, 'a'),
    at('2026-03-14', 2, 'b'),
  ];
  expect(right.toReversed().sort(compare)).toEqual(right);
});

test('one put in its place gives what sorting gives', () => {
  fc.assert(
    fc.property(fc.uniqueArray(ordered, { selector: ({ id }) => id }), (list) => {
      let built: Ordered[] = [];
      for (const each of list) built = insert(built, each, (item) => item);
      expect(built).toEqual([...list].sort(compare));
    }),
  );
});
