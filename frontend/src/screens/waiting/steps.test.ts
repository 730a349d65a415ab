import { describe, expect, test } from 'vitest';
import type { WaitingSex } from '../../book/waiting-page.ts';
import { leftByWaiting, perBird, worthRange } from './steps.ts';

/** A day from 50 to 60 brings 0.05 and costs 0.03; from 61 on it costs 0.06. */
const STEPS: WaitingSex['steps'] = Array.from({ length: 20 }, (_, n) => {
  const age = 50 + n;
  return [age, 250, 1, 28, 0.05, age <= 60 ? 0.03 : 0.06];
});

describe('a week more', () => {
  test('adds the days after the age, the last one in', () => {
    // By hand: days 51 to 57, each leaves 0.02.
    expect(leftByWaiting(STEPS, 50, 7)).toBeCloseTo(0.14);
    // Days 58 to 64: three leave 0.02, four lose 0.01.
    expect(leftByWaiting(STEPS, 57, 7)).toBeCloseTo(0.02);
  });

  test('says nothing beyond the table', () => {
    expect(leftByWaiting(STEPS, 64, 7)).toBeNull();
    expect(leftByWaiting(STEPS, 40, 7)).toBeNull();
    expect(leftByWaiting([], 56, 7)).toBeNull();
    expect(worthRange(STEPS)).toBe('the table ends at 69 days');
    expect(worthRange([])).toBe('there is no table yet');
  });

  test('is said for all the birds and for one', () => {
    expect(perBird(0.14, 10, 'EUR')).toBe('leaves 1.40 EUR (0.14 a bird)');
    expect(perBird(-0.05, 10, 'EUR')).toBe('loses 0.50 EUR (0.050 a bird)');
  });
});
