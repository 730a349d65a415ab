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

export const orNull =
  (field: Field): Field =>
  (value) =>
    value === null ? null : field(value);

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
