import { describe, expect, it } from 'vitest';
import type { BirdRow } from '../../book/index.ts';
import { UNKNOWN_BIRD } from '../../book/testing/rows.ts';
import { nextNumber, sharedWords, whoseNumber } from './called.ts';

const bird = (id: string, number: number, over: Partial<BirdRow> = {}): BirdRow => ({
  id,
  brood: 'b',
  number,
  ...UNKNOWN_BIRD,
  ...over,
});
const who = (person: string) => ({ e: 'Edda Quarrie', t: 'Tam Orrin' })[person] ?? 'somebody';

describe('what birds are called', () => {
  it('numbers the next bird after the highest, not after how many there are', () => {
    expect(nextNumber([])).toBe(1);
    expect(nextNumber([bird('a', 1), bird('b', 7)])).toBe(8);
  });

  it('goes on after the number given on this page, and never gives one twice', () => {
    const birds = [bird('a', 3), bird('b', 101), bird('c', 4)];
    expect(nextNumber(birds, 2)).toBe(5);
    expect(nextNumber(birds, 101)).toBe(102);
  });

  it('names who gave a number that two birds share, and nobody beside a number of its own', () => {
    const mine = bird('a', 3, { numbered_by: 'e' });
    const theirs = bird('b', 3, { numbered_by: 't' });
    const own = bird('c', 4, { numbered_by: 't' });
    const whose = whoseNumber([mine, theirs, own], who);
    expect([mine, theirs, own].map(whose)).toEqual(['Edda Quarrie’s', 'Tam Orrin’s', '']);
    expect(sharedWords([mine, theirs, own], who)).toMatch(
      /^1 number was given by Edda Quarrie and Tam Orrin /,
    );
    expect(sharedWords([mine, own], who)).toBeNull();
  });

  it('tells two phones of one person apart by the time', () => {
    const at = (hour: number) => new Date(2026, 2, 14, hour, 4).getTime();
    const birds = [10, 11].map((hour) => bird(`at-${hour}`, 3, { numbered_by: 'e', numbered_at: at(hour) }));
    const [first, second] = birds.map(whoseNumber(birds, who));
    expect(first).toMatch(/^of .*10/);
    expect(second).toMatch(/^of .*11/);
  });
});
