/** Birds found injured, in a cage or a brood. It changes nothing that stands. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, count, id, orNull, type Refusal, text, wrong } from './fields.ts';
import type { Names } from './names.ts';

type Body = Bodies['injured'];

const FIELDS = {
  cage: orNull(id),
  brood: orNull(id),
  bird: orNull(id),
  number: count({ least: 1 }),
  text: text(),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { cage, brood, bird, number } = body as Body;
  if (cage === null && brood === null)
    return wrong('cage', 'or brood must be given: say where the birds are');
  if (bird !== null && brood === null) return wrong('bird', 'is given without its brood: give that too');
  if (bird !== null && number !== 1) return wrong('number', 'must be 1 where the bird is named');
  return null;
}

export function words({ cage, brood, bird, number, text }: Body, names: Names): string {
  const where = cage !== null ? `Cage ${names.cage(cage)}` : `Brood ${names.brood(brood as string)}`;
  return `${where}, ${bird === null ? number : names.bird(bird)} injured: ${text}`;
}
