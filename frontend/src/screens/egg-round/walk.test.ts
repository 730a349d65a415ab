import { describe, expect, it } from 'vitest';
import type { CageRow, EntryView, RoundInCage } from '../../book/index.ts';
import { nextOpen, roundAt, sumUp, walk, withoutHens } from './walk.ts';

const cage = (id: string, over: Partial<CageRow> = {}): CageRow => ({
  id,
  code: id.toUpperCase(),
  row: 'A',
  place: 1,
  line: null,
  closed: false,
  hens: 4,
  cocks: 1,
  unsexed: 0,
  stocked_on: null,
  ...over,
});

const counted = (eggs: number): RoundInCage => ({
  counts: [{} as EntryView<'egg_count'>],
  passed: null,
  eggs,
  clash: false,
});
const passed: RoundInCage = { counts: [], passed: {} as EntryView<'cage_passed'>, eggs: null, clash: false };
const twice: RoundInCage = {
  counts: [{} as EntryView<'egg_count'>, {} as EntryView<'egg_count'>],
  passed: null,
  eggs: null,
  clash: true,
};

const found = new Map([
  ['a1', new Map([['morning', counted(3)]])],
  ['a3', new Map([['morning', passed]])],
  ['a4', new Map([['evening', counted(1)]])],
  ['a5', new Map([['morning', twice]])],
]);
const cages = ['a1', 'a2', 'a3', 'a4', 'a5'].map((id) => cage(id));

describe('the walk', () => {
  it('leaves out closed cages and cages without hens, but not one that was counted all the same', () => {
    const barn = [
      cage('a1', { hens: 0 }),
      cage('a2', { hens: 0 }),
      cage('a3', { closed: true }),
      cage('a4', { hens: 0, unsexed: 2 }),
    ];
    expect(walk(barn, found, 'morning').map((s) => s.id)).toEqual(['a1', 'a4']);
    expect(withoutHens(barn, found, 'morning').map((s) => s.id)).toEqual(['a2']);
  });

  it('goes on to the next cage that nobody counted in this round', () => {
    const stops = walk(cages, found, 'morning');
    expect(nextOpen(stops, null)).toBe('a2');
    expect(nextOpen(stops, 'a2')).toBe('a4');
    expect(nextOpen(stops, 'a4')).toBeNull();
  });

  it('sums up what was counted, passed over, left and counted twice', () => {
    const sum = sumUp(walk(cages, found, 'morning'));
    expect([sum.counted, sum.eggs]).toEqual([1, 3]);
    expect(sum.passed.map((s) => s.id)).toEqual(['a3']);
    expect(sum.open.map((s) => s.id)).toEqual(['a2', 'a4']);
    expect(sum.clashes.map((s) => s.id)).toEqual(['a5']);
  });
});

describe('the round meant', () => {
  it('follows the hour', () => {
    const two = ['morning', 'evening'];
    expect(roundAt(two, 6)).toBe('morning');
    expect(roundAt(two, 11)).toBe('morning');
    expect(roundAt(two, 12)).toBe('evening');
    expect(roundAt(['only'], 23)).toBe('only');
    expect(roundAt([], 6)).toBeUndefined();
  });
});
