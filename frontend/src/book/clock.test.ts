import { expect, test } from 'vitest';
import { dayIn, daysBefore, nextStamp, offsetOf } from './clock.ts';

test('a stamp is the phone time, corrected, and always after the last one', () => {
  expect(nextStamp({ now: 1000, offset: 50, last: 0 })).toBe(1050);
  expect(nextStamp({ now: 1000, offset: 50, last: 1050 })).toBe(1051);
  expect(nextStamp({ now: 1000, offset: -5000, last: 2000 })).toBe(2001);
});

test('the house answered halfway between asking and hearing', () => {
  expect(offsetOf(10_000, 4000, 6000)).toBe(5000);
});

test('the day is that of the farm, not of the phone or of Greenwich', () => {
  const moment = Date.parse('2026-03-14T03:30:00Z');
  expect(dayIn('America/New_York', moment)).toBe('2026-03-13');
  expect(dayIn('UTC', moment)).toBe('2026-03-14');
  expect(dayIn('Pacific/Auckland', Date.parse('2026-03-14T12:00:00Z'))).toBe('2026-03-15');
});

test('the day turns at midnight on both days of a change of the clocks (Vienna, 29 March and 25 October 2026)', () => {
  for (const [before, after] of [
    ['2026-03-28T22:59:59Z', '2026-03-29'],
    ['2026-03-29T21:59:59Z', '2026-03-30'],
    ['2026-10-24T21:59:59Z', '2026-10-25'],
    ['2026-10-25T22:59:59Z', '2026-10-26'],
  ] as const) {
    const moment = Date.parse(before);
    expect(dayIn('Europe/Vienna', moment)).toBe(daysBefore(after, 1));
    expect(dayIn('Europe/Vienna', moment + 1000)).toBe(after);
  }
});

test('days before a day, over the turn of a year and a leap day', () => {
  expect(daysBefore('2026-01-01', 1)).toBe('2025-12-31');
  expect(daysBefore('2024-03-01', 1)).toBe('2024-02-29');
});
