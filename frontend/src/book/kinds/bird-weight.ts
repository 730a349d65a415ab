/** One bird of a brood on the scale. An id not seen before is a new bird of that brood. */
import type { Bodies } from '../contract.ts';
import { type Barn, birdOf, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, id, orNull, type Refusal, text } from './fields.ts';
import { called, grams, typed } from './more-fields.ts';
import type { Names } from './names.ts';

type Body = Bodies['bird_weight'];

/** A chick leaves the egg at more, and no Coturnix grows to more, than these (common practice, no source). */
const LEAST_BIRD_G = 5;
const MOST_BIRD_G = 700;
/** So many times the last weight, or so small a part of it, is more likely a slip of the thumb (common practice, no source). */
const LOST_PART = 0.6;

export const version = 2;

const FIELDS = {
  bird: id,
  brood: id,
  number: orNull(called),
  band: orNull(text({ most: 40 })),
  grams,
  typed,
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export function doubt(body: Body, barn: Barn): string | null {
  const asked = `Is ${body.typed.value} ${body.typed.unit} right?`;
  if (body.grams < LEAST_BIRD_G || body.grams > MOST_BIRD_G)
    return `That is ${Math.round(body.grams)} g for one bird. ${asked}`;
  const last = barn.birds.get(body.bird)?.last_weight_g;
  if (last != null && body.grams < LOST_PART * last)
    return `This bird weighed ${Math.round(last)} g the last time. ${asked}`;
  return null;
}

export function words(body: Body, names: Names): string {
  const bird = body.band === null ? names.bird(body.bird) : `band ${body.band}`;
  return `Brood ${names.brood(body.brood)}, ${bird}: ${body.typed.value} ${body.typed.unit}`;
}

export function stands(barn: Barn, { day, body }: Written<Body>): void {
  const bird = birdOf(barn, body.bird, body.brood, body.number);
  const band = body.band ?? bird.band;
  barn.birds.set(bird.id, { ...bird, band, last_weight_g: body.grams, weighed_on: day });
}

export function unstands(barn: Barn, { body, before, last }: Struck<Body>): void {
  if (!last) return;
  putRow(barn.birds, body.bird, {
    last_weight_g: before?.body.grams ?? null,
    weighed_on: before?.day ?? null,
  });
}
