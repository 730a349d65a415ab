/** A brood that comes of a setting: its chicks are those that are seen, its parents those of its trays. */
import type { Bodies } from '../contract.ts';
import type { Barn, Written } from './barn.ts';
import { check as checkFields, id, type Refusal, text, wrong } from './fields.ts';
import { day, listOf } from './more-fields.ts';
import { type Names, onDay, plural } from './names.ts';

type Body = Bodies['brood_hatched'];

const FIELDS = {
  brood: id,
  setting: id,
  trays: listOf(id, { least: 1, most: 40 }),
  line: id,
  code: text({ most: 40 }),
  hatched_on: day,
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { trays } = body as Body;
  return new Set(trays).size < trays.length ? wrong('trays', 'must be named once each') : null;
}

export const words = (body: Body, names: Names): string =>
  `Brood ${body.code} of ${names.line(body.line)}: hatched ${onDay(body.hatched_on)} from ${plural(body.trays.length, 'tray')}`;

/** Its chicks come one by one, as they are seen. */
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
    plumage: {},
    brooder: '',
  };
  const rest = { bought_in: false, hatch_day_sure: true, quarantine_until: null };
  barn.broods.set(brood, { ...before, ...rest, id: brood, ...row });
}
