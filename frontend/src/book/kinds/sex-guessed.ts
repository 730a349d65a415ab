/**
 * An early guess of a bird's sex. It is no look: the bird stays to be sexed. By foam a bird is a cock or unsure, never a
 * hen: foam is absent in some cocks until week 10.
 */
import type { Bodies } from '../contract.ts';
import { check as checkFields, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { oneOf } from './more-fields.ts';
import type { Names } from './names.ts';

type Body = Bodies['sex_guessed'];

const FIELDS = {
  bird: id,
  brood: id,
  guess: oneOf('cock', 'hen', 'unsure'),
  by: oneOf('feathers', 'foam', 'voice', 'other'),
  band: orNull(text({ most: 40 })),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { by, guess } = body as Body;
  return by === 'foam' && guess === 'hen'
    ? wrong('guess', 'must be cock or unsure by foam: a bird without foam may be a cock until week 10')
    : null;
}

export function words(body: Body, names: Names): string {
  const bird = body.band === null ? names.bird(body.bird) : `band ${body.band}`;
  const guess = body.guess === 'unsure' ? 'not sure' : body.guess;
  const by = body.by === 'other' ? '' : ` by ${body.by}`;
  return `Brood ${names.brood(body.brood)}, ${bird}: guessed ${guess}${by}`;
}
