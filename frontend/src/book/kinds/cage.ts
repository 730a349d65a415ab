/** A cage: its code, its row and its place in the walking order. Written again, it replaces the earlier one whole. */
import type { Bodies } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import { check as checkFields, count, id, orNull, type Refusal, text } from './fields.ts';
import { flag } from './more-fields.ts';
import type { Names } from './names.ts';

type Body = Bodies['cage'];

const FIELDS = {
  cage: id,
  code: text({ most: 20 }),
  row: text({ most: 40 }),
  place: count({ most: 9999 }),
  line: orNull(id),
  closed: flag,
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export function words(body: Body, names: Names): string {
  const line = body.line === null ? '' : `, ${names.line(body.line)}`;
  return `Cage ${body.code}: row ${body.row}, place ${body.place}${line}${body.closed ? ', closed' : ''}`;
}

export function stands(barn: Barn, { body }: Written<Body>): void {
  const { cage, ...row } = body;
  const empty = { hens: 0, cocks: 0, unsexed: 0, stocked_on: null };
  barn.cages.set(cage, { ...empty, ...barn.cages.get(cage), id: cage, ...row });
}

export function unstands(barn: Barn, struck: Struck<Body>): void {
  if (struck.last && struck.before) stands(barn, struck.before);
}
