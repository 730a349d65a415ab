/** The farm's own settings: its name, zone, unit of weight, and how often it walks past the cages. */
import type { Bodies } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import { check as checkFields, type Refusal, text, wrong } from './fields.ts';
import { all, flag, listOf, oneOf, zone } from './more-fields.ts';
import { plural } from './names.ts';

type Body = Bodies['farm'];

const FIELDS = {
  name: text({ most: 120 }),
  zone,
  weight_unit: oneOf('g', 'oz'),
  rounds: listOf(all({ key: text({ most: 20 }), name: text({ most: 40 }), after_lay: flag }), {
    least: 1,
    most: 8,
  }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const keys = (body as Body).rounds.map((round) => round.key);
  if (new Set(keys).size < keys.length) return wrong('rounds', 'must each have a key of their own');
  if (keys.some((key) => key.includes('/'))) return wrong('rounds', 'must have keys without a slash');
  return null;
}

export const words = (body: Body): string =>
  `Farm ${body.name}: ${body.zone}, weights in ${body.weight_unit}, ${plural(body.rounds.length, 'round')} a day`;

export function stands(barn: Barn, { body }: Written<Body>): void {
  if (barn.farm) barn.farm = { ...barn.farm, ...body };
}

export function unstands(barn: Barn, struck: Struck<Body>): void {
  if (struck.last && struck.before) stands(barn, struck.before);
}
