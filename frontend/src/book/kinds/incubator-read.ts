/** What an incubator's own gauges showed at a setting. It changes nothing that stands. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { amount } from './more-fields.ts';
import { after } from './names.ts';

type Body = Bodies['incubator_read'];

const FIELDS = {
  setting: id,
  temperature_c: orNull(amount(-40, 60)),
  humidity_percent: orNull(amount(0, 100)),
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { temperature_c, humidity_percent } = body as Body;
  return temperature_c === null && humidity_percent === null
    ? wrong('temperature_c', 'or humidity must be given')
    : null;
}

export function words({ temperature_c, humidity_percent, note }: Body): string {
  const what = [
    temperature_c !== null && `${temperature_c} °C`,
    humidity_percent !== null && `${humidity_percent} % moisture`,
  ].filter((part) => part !== false);
  return `Incubator: ${what.join(', ')}${after(note)}`;
}
