/** Feed bought: how much, and what was paid for it. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, orNull, type Refusal, text, wrong } from './fields.ts';
import { amount } from './more-fields.ts';
import { after } from './names.ts';

type Body = Bodies['feed_bought'];

const FIELDS = {
  what: text({ most: 80, blank: true }),
  kg: amount(0.001, 100_000),
  paid: orNull(amount(0, 1_000_000)),
  currency: orNull(text({ most: 8 })),
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { paid, currency } = body as Body;
  if ((paid === null) !== (currency === null))
    return wrong('currency', 'and what was paid must both be given, or neither');
  return null;
}

export function words({ what, kg, paid, currency, note }: Body): string {
  const price = paid === null ? '' : ` for ${paid} ${currency}`;
  return `Bought ${kg} kg of ${what === '' ? 'feed' : what}${price}${after(note)}`;
}
