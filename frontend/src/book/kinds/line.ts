/** A line as its owner describes it. Written again, it replaces the earlier one whole. */
import type { Bodies } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import { check as checkFields, count, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { grams, listOf } from './more-fields.ts';

type Body = Bodies['line'];

const FIELDS = {
  line: id,
  name: text({ most: 120 }),
  other_names: listOf(text({ most: 120 })),
  egg_low_g: orNull(grams),
  egg_high_g: orNull(grams),
  weighing_age_days: count({ least: 1 }),
  sexing_from_day: count({ least: 1 }),
  sexing_to_day: count({ least: 1 }),
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { egg_low_g, egg_high_g, sexing_from_day, sexing_to_day } = body as Body;
  if (egg_low_g !== null && egg_high_g !== null && egg_high_g < egg_low_g)
    return wrong('egg_high_g', 'must not be below the low end of the band');
  if (sexing_to_day < sexing_from_day)
    return wrong('sexing_to_day', 'must not be before the day sexing begins');
  return null;
}

export const words = (body: Body): string => `Line ${body.name}`;

export function stands(barn: Barn, { body }: Written<Body>): void {
  const { line, ...row } = body;
  barn.lines.set(line, { id: line, ...row });
}

export function unstands(barn: Barn, struck: Struck<Body>): void {
  if (struck.last && struck.before) stands(barn, struck.before);
}
