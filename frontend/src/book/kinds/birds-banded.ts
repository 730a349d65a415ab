/** Bands put on birds of a brood: a run at once, or one. An id not seen before is a new bird of the brood. */
import type { Bodies } from '../contract.ts';
import { type Barn, birdOf, putRow, type Written } from './barn.ts';
import { check as checkFields, id, type Refusal, text, wrong } from './fields.ts';
import { all, listOf } from './more-fields.ts';
import { type Names, plural } from './names.ts';

type Body = Bodies['birds_banded'];

const FIELDS = {
  brood: id,
  birds: listOf(all({ bird: id, band: text({ most: 40 }) }), { least: 1, most: 200 }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { birds } = body as Body;
  if (new Set(birds.map(({ bird }) => bird)).size < birds.length)
    return wrong('birds', 'must name each bird once');
  if (new Set(birds.map(({ band }) => band)).size < birds.length)
    return wrong('birds', 'must name each band once');
  return null;
}

export function words({ brood, birds }: Body, names: Names): string {
  const first = birds[0]?.band;
  const last = birds.at(-1)?.band;
  const bands = birds.length === 1 ? `band ${first}` : `bands ${first} to ${last}`;
  return `Brood ${names.brood(brood)}: ${plural(birds.length, 'bird')} banded, ${bands}`;
}

export function stands(barn: Barn, { body }: Written<Body>): void {
  for (const { bird, band } of body.birds) {
    birdOf(barn, bird, body.brood);
    putRow(barn.birds, bird, { band });
  }
}
