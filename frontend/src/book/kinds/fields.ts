/** The fields a body is made of, each with one sentence for what is wrong with it. The same limits as the house's. */

export interface Refusal {
  code: 'body_missing_field' | 'body_extra_field' | 'body_wrong_field' | 'unknown_kind';
  field: string | null;
  /** One sentence for the person. */
  detail: string;
}

/** What is wrong with a value, as the end of a sentence ("must be ..."), or null. */
export type Field = (value: unknown) => string | null;

const UUID = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/i;
const DAY = /^\d{4}-\d{2}-\d{2}$/;
const HEAVIEST_G = 100_000;

export const id: Field = (value) =>
  typeof value === 'string' && UUID.test(value) ? null : 'must be an id (a UUID in text)';

/** A whole number 0 to 999, or as said. */
export const count =
  ({ least = 0, most = 999 } = {}): Field =>
  (value) => {
    if (typeof value !== 'number' || !Number.isInteger(value))
      return `must be a whole number from ${least} to ${most}`;
    return least <= value && value <= most ? null : `must be from ${least} to ${most}, not ${value}`;
  };

export const text =
  ({ most = 500, blank = false } = {}): Field =>
  (value) => {
    if (typeof value !== 'string') return 'must be a text';
    if (value === '' && !blank) return 'must not be empty';
    if (value.includes('\0')) return 'must not hold a null character';
    // Counted in characters as the house counts them, not in UTF-16 units.
    if (value.length > most && [...value].length > most) return `must be at most ${most} characters`;
    return null;
  };

export const grams: Field = (value) => {
  if (typeof value !== 'number' || !Number.isFinite(value)) return 'must be a number of grams';
  return 0 < value && value <= HEAVIEST_G ? null : 'must be more than 0 and at most 100,000 grams';
};

export const flag: Field = (value) => (typeof value === 'boolean' ? null : 'must be true or false');

export const day: Field = (value) => {
  const wrong = 'must be a day such as 2026-03-14';
  if (typeof value !== 'string' || !DAY.test(value)) return wrong;
  const read = new Date(`${value}T00:00:00Z`);
  // 30 February reads as 2 March, so it must come back as it went in.
  return !Number.isNaN(read.getTime()) && read.toISOString().startsWith(value) ? null : wrong;
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

export const orNull =
  (field: Field): Field =>
  (value) =>
    value === null ? null : field(value);

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

const named = (field: string): string => field.replaceAll('_', ' ').replace(/^./, (c) => c.toUpperCase());

export const wrong = (field: string, detail: string): Refusal => ({
  code: 'body_wrong_field',
  field,
  detail: `${named(field)} ${detail}.`,
});

/** The first thing that is wrong with a body: a field too few, a field too many, a field that may not be so. */
export function check(body: unknown, fields: Record<string, Field>): Refusal | null {
  if (typeof body !== 'object' || body === null || Array.isArray(body))
    return { code: 'body_wrong_field', field: null, detail: 'The entry must hold named fields.' };
  const given = body as Record<string, unknown>;
  for (const field of Object.keys(fields))
    if (!Object.hasOwn(given, field))
      return {
        code: 'body_missing_field',
        field,
        detail: `${named(field)} is missing: fill it in and save again.`,
      };
  for (const field of Object.keys(given))
    if (!Object.hasOwn(fields, field))
      return {
        code: 'body_extra_field',
        field,
        detail: `${named(field)} does not belong in this entry: leave it out.`,
      };
  for (const [field, of] of Object.entries(fields)) {
    const problem = of(given[field]);
    if (problem) return wrong(field, problem);
  }
  return null;
}
