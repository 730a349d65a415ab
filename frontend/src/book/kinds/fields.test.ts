import { expect, test } from 'vitest';
import { check, count, text } from './fields.ts';
import { day, grams, zone } from './more-fields.ts';

test.each([0, 1, 999])('%d is a count', (value) => expect(count()(value)).toBeNull());
test.each([-1, 1000, 2.5, Number.NaN, Number.POSITIVE_INFINITY, '5', true, null, undefined])(
  '%s is no count',
  (value) => expect(count()(value)).not.toBeNull(),
);

test.each(['2024-02-29', '2026-12-31'])('%s is a day', (value) => expect(day(value)).toBeNull());
test.each(['2026-02-29', '2026-02-30', '2026-13-01', '26-01-01', '2026-1-1', '', null, 20260314])(
  '%s is no day',
  (value) => expect(day(value)).not.toBeNull(),
);

test.each([0.1, 312, 100_000])('%d g is a weight', (value) => expect(grams(value)).toBeNull());
test.each([0, -3, 100_001, Number.NaN, 'heavy'])('%s is no weight', (value) =>
  expect(grams(value)).not.toBeNull(),
);

test('a text is counted in characters, as the house counts it', () => {
  expect(text({ most: 3 })('🐣🐣🐣')).toBeNull();
  expect(text({ most: 3 })('🐣🐣🐣🐣')).toBe('must be at most 3 characters');
});
test('a text holds no null character', () => expect(text()('a\0b')).not.toBeNull());

test('a zone is one that the phone knows', () => {
  expect(zone('Europe/Vienna')).toBeNull();
  expect(zone('Mars/Base')).toBe('must be a time zone such as Europe/Vienna');
});

test('says which field, and what to do', () => {
  expect(check({}, { thin_shelled: count() })).toEqual({
    code: 'body_missing_field',
    field: 'thin_shelled',
    detail: 'Thin shelled is missing: fill it in and save again.',
  });
  expect(check({ thin_shelled: 1, toString: 1 }, { thin_shelled: count() })).toMatchObject({
    code: 'body_extra_field',
    field: 'toString',
  });
});
