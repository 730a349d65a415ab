import { describe, expect, it } from 'vitest';
import { codesOf, moved, nextPlace, reversed } from './row-of-cages.ts';

describe('a row of cages', () => {
  it('is codes one after another', () => {
    expect(codesOf({ row: 'A', from: 1, to: 3 }, [])).toEqual(['A1', 'A2', 'A3']);
    expect(codesOf({ row: ' B', from: 9, to: 10 }, [])).toEqual(['B9', 'B10']);
  });
  it('may be walked from its far end', () => {
    expect(codesOf({ row: 'A', from: 3, to: 1 }, [])).toEqual(['A3', 'A2', 'A1']);
  });
  it('says what is wrong with it', () => {
    expect(codesOf({ row: ' ', from: 1, to: 3 }, [])).toContain('letter');
    expect(codesOf({ row: 'A', from: 1, to: 61 }, [])).toContain('At most 60');
    expect(codesOf({ row: 'A', from: 1, to: 3 }, ['A2'])).toBe('There already: A2.');
  });
  it('comes after the last cage of the walk', () => {
    expect(nextPlace([])).toBe(1);
    expect(nextPlace([{ place: 4 }, { place: 30 }])).toBe(31);
  });
});

describe('the walking order', () => {
  const cages = [
    { id: 'a', place: 1 },
    { id: 'b', place: 2 },
    { id: 'c', place: 2 },
  ];
  it('is changed by trading places with the neighbour', () => {
    expect(moved(cages, 'a', 1)).toEqual([
      { id: 'a', place: 2 },
      { id: 'b', place: 1 },
    ]);
  });
  it('moves past one that has the same place', () => {
    expect(moved(cages, 'b', 1)).toEqual([{ id: 'b', place: 3 }]);
  });
  it('is turned round for one row, in the places that the row has', () => {
    const walk = [
      { code: 'A1', row: 'A', place: 1 },
      { code: 'B1', row: 'B', place: 2 },
      { code: 'A2', row: 'A', place: 5 },
      { code: 'A3', row: 'A', place: 6 },
    ];
    expect(reversed(walk, 'A').map((c) => [c.code, c.place])).toEqual([
      ['A1', 6],
      ['A3', 1],
    ]);
    expect(reversed(walk, 'B')).toEqual([]);
  });
  it('ends at the ends', () => {
    expect(moved(cages, 'a', -1)).toEqual([]);
    expect(moved(cages, 'c', 1)).toEqual([]);
  });
});
