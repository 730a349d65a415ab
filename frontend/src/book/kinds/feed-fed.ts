/** Feed eaten over some days, the entry's day the last: by a brood, the cages of a row, or all the cages. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, count, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { amount } from './more-fields.ts';
import { after, type Names, plural } from './names.ts';

type Body = Bodies['feed_fed'];

const FIELDS = {
  row: orNull(text({ most: 40 })),
  brood: orNull(id),
  kg: amount(0.001, 100_000),
  days: count({ least: 1, most: 92 }),
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { row, brood } = body as Body;
  return row !== null && brood !== null ? wrong('row', 'and brood must not both be given') : null;
}

export function words({ row, brood, kg, days, note }: Body, names: Names): string {
  const who =
    brood !== null
      ? `brood ${names.brood(brood)}`
      : row !== null
        ? `the cages of row ${row}`
        : 'all the cages';
  return `Fed ${kg} kg to ${who} in ${plural(days, 'day')}${after(note)}`;
}
