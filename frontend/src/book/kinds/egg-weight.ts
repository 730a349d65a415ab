/** Eggs of a cage on the scale: one, or several at once. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, count, id, type Refusal } from './fields.ts';
import { grams, typed } from './more-fields.ts';
import { type Names, plural } from './names.ts';

type Body = Bodies['egg_weight'];

/** An egg of Coturnix outside these is more likely a slip of the thumb (common practice, no source). */
const LEAST_EGG_G = 5;
const MOST_EGG_G = 25;

const FIELDS = { cage: id, eggs: count({ least: 1 }), grams, typed };

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export function doubt(body: Body): string | null {
  const each = body.grams / body.eggs;
  if (LEAST_EGG_G <= each && each <= MOST_EGG_G) return null;
  return `That is ${each.toFixed(1)} g an egg. Is ${body.typed.value} ${body.typed.unit} right?`;
}

export const words = (body: Body, names: Names): string =>
  `Cage ${names.cage(body.cage)}: ${plural(body.eggs, 'egg')}, ${body.typed.value} ${body.typed.unit}`;
