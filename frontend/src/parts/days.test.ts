import { describe, expect, it } from 'vitest';
import { dayAfter, daysFrom, showWhen } from './days.ts';

describe('days', () => {
  it('are counted over a month, a leap day and a change of clocks', () => {
    expect(daysFrom('2028-02-28', '2028-03-01')).toBe(2);
    expect(daysFrom('2026-03-28', '2026-03-30')).toBe(2);
    expect(daysFrom('2026-03-14', '2026-03-01')).toBe(-13);
    expect(dayAfter('2026-12-31', 1)).toBe('2027-01-01');
  });
  it('say when something was, as exactly as is of use', () => {
    const now = new Date(2026, 2, 14, 7, 0).getTime();
    expect(showWhen(new Date(2026, 2, 14, 6, 40).getTime(), now)).toMatch(/6.40/);
    expect(showWhen(new Date(2026, 2, 13, 18, 2).getTime(), now)).toMatch(/^yesterday /);
    expect(showWhen(new Date(2026, 2, 4, 18, 2).getTime(), now)).toBe('10 days ago');
    expect(showWhen(new Date(2025, 2, 4, 18, 2).getTime(), now)).toContain('2025');
  });
});
