import { describe, expect, it } from 'vitest';
import { showAge, showDistance } from './ages.ts';

describe('ages and distances', () => {
  it('say how far a day is', () => {
    expect(showDistance('2026-03-14', '2026-03-14')).toBe('today');
    expect(showDistance('2026-03-15', '2026-03-14')).toBe('tomorrow');
    expect(showDistance('2026-03-19', '2026-03-14')).toBe('in 5 days');
    expect(showDistance('2026-03-11', '2026-03-14')).toBe('3 days ago');
  });
  it('say how old a bird is', () => {
    expect(showAge(1)).toBe('1 day');
    expect(showAge(13)).toBe('13 days');
    expect(showAge(42)).toBe('6 weeks');
    expect(showAge(57)).toBe('8 weeks 1 day');
  });
});
