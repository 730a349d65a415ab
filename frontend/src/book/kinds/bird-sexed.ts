/** One bird looked at: cock, hen, or not sure. Looked at again, the last look stands. */
import type { Bodies } from '../contract.ts';
import { type Barn, birdOf, lookedIn, putRow, readSex, type Struck, type Written } from './barn.ts';
import { check as checkFields, id, orNull, type Refusal, text } from './fields.ts';
import { called, oneOf } from './more-fields.ts';
import type { Names } from './names.ts';

type Body = Bodies['bird_sexed'];

export const version = 2;

const FIELDS = {
  bird: id,
  brood: id,
  number: orNull(called),
  result: oneOf('cock', 'hen', 'unsure'),
  band: orNull(text({ most: 40 })),
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

/** More birds looked at than are alive. */
export function doubt(body: Body, barn: Barn): string | null {
  const brood = barn.broods.get(body.brood);
  const looked = barn.birds.get(body.bird)?.looked_on != null;
  if (!brood || looked || lookedIn(brood) < brood.alive) return null;
  return `All ${brood.alive} birds of brood ${brood.code} have been looked at. Is this one more?`;
}

export function words(body: Body, names: Names): string {
  const bird = body.band === null ? names.bird(body.bird) : `band ${body.band}`;
  return `Brood ${names.brood(body.brood)}, ${bird}: ${body.result === 'unsure' ? 'not sure' : body.result}`;
}

export function stands(barn: Barn, { day, body }: Written<Body>): void {
  const bird = birdOf(barn, body.bird, body.brood, body.number);
  readSex(barn, bird, body.result, day);
  if (body.band !== null) putRow(barn.birds, bird.id, { band: body.band });
}

export function unstands(barn: Barn, { body, before, last }: Struck<Body>): void {
  const bird = barn.birds.get(body.bird);
  if (bird && last) readSex(barn, bird, before?.body.result ?? 'unsexed', before?.day ?? null);
}
