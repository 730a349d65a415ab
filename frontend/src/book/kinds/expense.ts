/** Something else that was used up and paid for; of one line, or shared among all. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, id, orNull, type Refusal, text } from './fields.ts';
import { amount, oneOf } from './more-fields.ts';
import { after, type Names } from './names.ts';

type Body = Bodies['expense'];

const FIELDS = {
  part: oneOf('laying', 'hatching', 'rearing', 'processing'),
  what: text({ most: 80 }),
  line: orNull(id),
  amount: amount(0, 1_000_000),
  currency: text({ most: 8 }),
  note: text({ blank: true }),
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export function words({ part, what, line, amount, currency, note }: Body, names: Names): string {
  const whose = line === null ? 'shared among the lines' : `for ${names.line(line)}`;
  return `Spent ${amount} ${currency} on ${what} (${part}), ${whose}${after(note)}`;
}
