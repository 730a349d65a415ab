/** Chicks of a brood by plumage class, one a tap or many at once; they add. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, count, id, orNull, type Refusal, text } from './fields.ts';
import { type Names, plural } from './names.ts';

type Body = Bodies['chicks_seen'];

const FIELDS = {
  brood: id,
  setting: orNull(id),
  plumage: orNull(text({ most: 20 })),
  chicks: count({ least: 1 }),
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ brood, plumage, chicks }: Body, names: Names): string =>
  `Brood ${names.brood(brood)}: ${plural(chicks, 'chick')}${plumage === null ? '' : `, ${plumage}`}`;
