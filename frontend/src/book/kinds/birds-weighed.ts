/** Several birds of a brood on the scale together, unbanded and unnamed. */
import type { Bodies } from '../contract.ts';
import { total } from './barn.ts';
import { check as checkFields, count, id, type Refusal, wrong } from './fields.ts';
import { grams, typed } from './more-fields.ts';
import { headsInWords, type Names } from './names.ts';

type Body = Bodies['birds_weighed'];

const FIELDS = { brood: id, hens: count(), cocks: count(), unsexed: count(), grams, typed };

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  return total(body as Body) === 0
    ? wrong('hens', 'and cocks and unsexed are all 0: say how many were weighed')
    : null;
}

export const words = (body: Body, names: Names): string =>
  `Brood ${names.brood(body.brood)}: ${headsInWords(body)} weighed together, ${body.typed.value} ${body.typed.unit}`;
