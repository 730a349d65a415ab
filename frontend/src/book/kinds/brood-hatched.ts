/** A brood that comes of a setting: its chicks are those that are seen, its parents those of its trays. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, id, type Refusal, text, wrong } from './fields.ts';
import { day, listOf } from './more-fields.ts';
import { type Names, plural } from './names.ts';

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
  `Brood ${body.code} of ${names.line(body.line)}: hatched ${body.hatched_on} from ${plural(body.trays.length, 'tray')}`;
