/** The plumage class of one bird, seen on the bird itself. The last one stands. */
import type { Bodies } from '../contract.ts';
import { type Barn, birdOf, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, id, type Refusal, text } from './fields.ts';
import type { Names } from './names.ts';

type Body = Bodies['plumage_seen'];

const FIELDS = { bird: id, brood: id, plumage: text({ most: 20 }) };

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ bird, brood, plumage }: Body, names: Names): string =>
  `Brood ${names.brood(brood)}, ${names.bird(bird)}: plumage ${plumage}`;

export function stands(barn: Barn, { body }: Written<Body>): void {
  barn.birds.set(body.bird, { ...birdOf(barn, body.bird, body.brood), plumage: body.plumage });
}

export function unstands(barn: Barn, { body, before, last }: Struck<Body>): void {
  if (last) putRow(barn.birds, body.bird, { plumage: before?.body.plumage ?? null });
}
