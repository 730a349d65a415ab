/** Fields that no kind of the egg round has. */
import { check, count, type Field, text } from './fields.ts';

const HEAVIEST_G = 100_000;
const DAY = /^\d{4}-\d{2}-\d{2}$/;

export const grams: Field = (value) => {
  if (typeof value !== 'number' || !Number.isFinite(value)) return 'must be a number of grams';
  return 0 < value && value <= HEAVIEST_G ? null : 'must be more than 0 and at most 100,000 grams';
};

/** A number, halves and all. */
export const amount =
  (least: number, most: number): Field =>
  (value) =>
    typeof value === 'number' && least <= value && value <= most
      ? null
      : `must be a number from ${least} to ${most}`;

export const flag: Field = (value) => (typeof value === 'boolean' ? null : 'must be true or false');

/** What a bird is called within its brood. */
export const called = count({ least: 1, most: 9999 });

/** The days that the house takes: within a keeper's life, and no slip of the century. */
const FIRST_DAY = '1990-01-01';
const LAST_DAY = '2199-12-31';

export const day: Field = (value) => {
  const wrong = 'must be a day such as 2026-03-14';
  if (typeof value !== 'string' || !DAY.test(value)) return wrong;
  const read = new Date(`${value}T00:00:00Z`);
  // 30 February reads as 2 March, so it must come back as it went in.
  if (Number.isNaN(read.getTime()) || !read.toISOString().startsWith(value)) return wrong;
  return FIRST_DAY <= value && value <= LAST_DAY ? null : `must be a day from ${FIRST_DAY} to ${LAST_DAY}`;
};

export const zone: Field = (value) => {
  const wrong = text({ most: 64 })(value);
  if (wrong) return wrong;
  try {
    new Intl.DateTimeFormat('en', { timeZone: value as string });
    return null;
  } catch {
    return 'must be a time zone such as Europe/Vienna';
  }
};

export const oneOf =
  (...words: string[]): Field =>
  (value) =>
    typeof value === 'string' && words.includes(value) ? null : `must be one of ${words.join(', ')}`;

export const listOf =
  (field: Field, { least = 0, most = 20 } = {}): Field =>
  (value) => {
    if (!Array.isArray(value)) return 'must be a list';
    if (value.length < least || value.length > most) return `must hold ${least} to ${most}`;
    return value.map(field).find((wrong) => wrong !== null) ?? null;
  };

export const all =
  (fields: Record<string, Field>): Field =>
  (value) => {
    const wrong = check(value, fields);
    return wrong && `is not whole: ${wrong.detail}`;
  };

/** What the person typed, and in which unit. */
export const typed = all({ value: text({ most: 20 }), unit: oneOf('g', 'oz') });
