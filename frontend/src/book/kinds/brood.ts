/** A brood: so many chicks of a line hatched on a day. Written again, it replaces the earlier one whole. */
import type { Bodies } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import { check as checkFields, count, id, type Refusal, text } from './fields.ts';
import { day } from './more-fields.ts';
import { type Names, onDay, plural } from './names.ts';

type Body = Bodies['brood'];

const FIELDS = {
  brood: id,
  line: id,
  code: text({ most: 40 }),
  hatched_on: day,
  chicks: count({ least: 1 }),
  note: text({ blank: true }),
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = (body: Body, names: Names): string =>
  `Brood ${body.code} of ${names.line(body.line)}: ${plural(body.chicks, 'chick')} hatched ${onDay(body.hatched_on)}`;

export function stands(barn: Barn, { body }: Written<Body>): void {
  const { brood, ...row } = body;
  const before = barn.broods.get(brood) ?? {
    chicks: 0,
    alive: 0,
    hens: 0,
    cocks: 0,
    unsure: 0,
    unlooked: 0,
    placed: 0,
    setting: null,
    trays: [],
    plumage: {},
    bought_in: false,
    hatch_day_sure: true,
    quarantine_until: null,
    brooder: '',
  };
  const more = body.chicks - before.chicks;
  barn.broods.set(brood, {
    ...before,
    id: brood,
    ...row,
    alive: before.alive + more,
    unlooked: before.unlooked + more,
  });
}

export function unstands(barn: Barn, struck: Struck<Body>): void {
  if (struck.last && struck.before) stands(barn, struck.before);
}
