/**
 * An early guess of a bird's sex. It is no look: the bird stays to be sexed. By foam a bird is a cock or unsure, never a
 * hen: foam is absent in some cocks until week 10.
 */
import type { Bodies } from '../contract.ts';
import { type Barn, birdOf, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { called, oneOf } from './more-fields.ts';
import type { Names } from './names.ts';

type Body = Bodies['sex_guessed'];

export const version = 2;

const FIELDS = {
  bird: id,
  brood: id,
  number: orNull(called),
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

/** It is no look: the sex stays, and the bird stays to be sexed. */
export function stands(barn: Barn, { day, body }: Written<Body>): void {
  const bird = birdOf(barn, body.bird, body.brood, body.number);
  const band = body.band ?? bird.band;
  barn.birds.set(bird.id, { ...bird, band, guess: body.guess, guessed_by: body.by, guessed_on: day });
}

export function unstands(barn: Barn, { body, before, last }: Struck<Body>): void {
  if (!last) return;
  putRow(barn.birds, body.bird, {
    guess: before?.body.guess ?? null,
    guessed_by: before?.body.by ?? null,
    guessed_on: before?.day ?? null,
  });
}
