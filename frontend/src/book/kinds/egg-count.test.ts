import { describe, expect, test } from 'vitest';
import { doubt, words } from './egg-count.ts';

const body = (eggs: number, change = {}) => ({
  cage: 'c',
  round: 'morning',
  eggs,
  cracked: 0,
  soiled: 0,
  thin_shelled: 0,
  ...change,
});
const morning = (day: string) => ({ day, afterLay: false });
const evening = (day: string) => ({ day, afterLay: true });
const hens = (count: number, ...before: { day: string; afterLay: boolean; eggs: number }[]) => ({
  hens: count,
  stockedOn: '2026-01-01',
  before,
});

describe('asks once more', () => {
  test.each([
    // hens, eggs, asks: one a hen and day, and one over
    [5, 5, false],
    [5, 6, false],
    [5, 7, true],
    [1, 2, false],
    [1, 3, true],
    [30, 33, false],
    [30, 34, true],
  ])('%i hens since yesterday, %i eggs: %s', (count, eggs, asks) => {
    const could = hens(count, { ...morning('2026-03-13'), eggs: 4 });
    expect(doubt(body(eggs), morning('2026-03-14'), could) !== null).toBe(asks);
  });

  test('three days since the last count give three days of eggs', () => {
    const could = hens(5, { ...morning('2026-03-11'), eggs: 4 });
    expect(doubt(body(16), morning('2026-03-14'), could)).toBeNull();
    expect(doubt(body(17), morning('2026-03-14'), could)).toBe(
      '5 hens in 3 days hardly lay 17 eggs. Is 17 right?',
    );
  });

  test('from the evening to the next morning there is no lay: both share that of the day before', () => {
    const could = hens(5, { ...evening('2026-03-13'), eggs: 4 });
    expect(doubt(body(2), morning('2026-03-14'), could)).toBeNull();
    expect(doubt(body(3), morning('2026-03-14'), could)).toBe(
      '5 hens in one day hardly lay 3 eggs, and 4 were counted already. Is 3 right?',
    );
  });

  test('from the morning to the evening of a day there is one', () => {
    const could = hens(5, { ...morning('2026-03-14'), eggs: 5 });
    expect(doubt(body(6), evening('2026-03-14'), could)).toBeNull();
    expect(doubt(body(7), evening('2026-03-14'), could)).not.toBeNull();
  });

  test('of a cage that stands empty in the book', () => {
    expect(doubt(body(1), morning('2026-03-14'), { hens: 0, stockedOn: null, before: [] })).toBe(
      'This cage has no hens in the book. Were there 1 egg?',
    );
    expect(doubt(body(0), morning('2026-03-14'), { hens: 0, stockedOn: null, before: [] })).toBeNull();
  });

  test('of a cage never counted, by the day its hens were put in', () => {
    const could = { hens: 5, stockedOn: '2026-03-12', before: [] };
    expect(doubt(body(11), morning('2026-03-14'), could)).toBeNull();
    expect(doubt(body(12), morning('2026-03-14'), could)).not.toBeNull();
  });

  test('by the counts up to that day when an older day is entered', () => {
    const could = hens(5, { ...morning('2026-03-14'), eggs: 5 }, { ...morning('2026-03-09'), eggs: 5 });
    expect(doubt(body(11), morning('2026-03-11'), could)).toBeNull();
    expect(doubt(body(12), morning('2026-03-11'), could)).not.toBeNull();
  });
});

test('in plain words', () => {
  const names = { cage: () => 'A3', round: () => 'morning round' } as unknown as Parameters<typeof words>[1];
  expect(words(body(5, { cracked: 1 }), names)).toBe('Cage A3: 5 eggs, 1 cracked, morning round');
  expect(words(body(1), names)).toBe('Cage A3: 1 egg, morning round');
  expect(words(body(0), names)).toBe('Cage A3: no eggs, morning round');
});
