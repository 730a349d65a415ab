/** What waiting costs and brings, in the owner's prices. Written again, it replaces. */
import type { Bodies } from '../contract.ts';
import { type Barn, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, id, type Refusal, text } from './fields.ts';
import { amount, oneOf } from './more-fields.ts';
import { after, type Names } from './names.ts';

type Body = Bodies['prices_told'];

const money = amount(0, 1_000_000);
const feed = amount(0, 500);

const FIELDS = {
  line: id,
  currency: text({ most: 8 }),
  feed_per_kg: money,
  cock_feed_g_a_day: feed,
  hen_feed_g_a_day: feed,
  sold_by: oneOf('live_kg', 'dressed_kg', 'bird'),
  price: money,
  labour_a_bird_day: money,
  place_a_bird_day: money,
  note: text({ blank: true }),
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

const PER = { live_kg: 'a kg alive', dressed_kg: 'a kg dressed', bird: 'a bird' };

export const words = (body: Body, names: Names): string =>
  `${names.line(body.line)}: feed ${body.feed_per_kg} ${body.currency} a kg, birds ${body.price} ${body.currency} ` +
  `${PER[body.sold_by]}${after(body.note)}`;

export function stands(barn: Barn, { day, body }: Written<Body>): void {
  const { line, note: _, ...prices } = body;
  putRow(barn.lines, line, { prices: { ...prices, told_on: day } });
}

export function unstands(barn: Barn, { before, last, body }: Struck<Body>): void {
  if (!last) return;
  if (before) stands(barn, before);
  else putRow(barn.lines, body.line, { prices: null });
}
