/** Hours of light and warmth: of the cages of a row, a brood, or the whole barn. It changes nothing that stands. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { amount } from './more-fields.ts';
import { after, type Names } from './names.ts';

type Body = Bodies['lights_and_heat'];

const FIELDS = {
  row: orNull(text({ most: 40 })),
  brood: orNull(id),
  light_hours: orNull(amount(0, 24)),
  temperature_c: orNull(amount(-40, 60)),
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { row, brood, light_hours, temperature_c } = body as Body;
  if (row !== null && brood !== null) return wrong('row', 'and brood are both given: it is of one of them');
  if (light_hours === null && temperature_c === null)
    return wrong('light_hours', 'or temperature must be given');
  return null;
}

export function words({ row, brood, light_hours, temperature_c, note }: Body, names: Names): string {
  const where = row !== null ? `Row ${row}` : brood !== null ? `Brood ${names.brood(brood)}` : 'The barn';
  const what = [
    light_hours !== null && `${light_hours} hours of light`,
    temperature_c !== null && `${temperature_c} °C`,
  ].filter((part) => part !== false);
  return `${where}: ${what.join(', ')}${after(note)}`;
}
