/** An order: how many eggs of which line by which day. Who wants them is an opaque id. Written again, it replaces. */
import type { Bodies } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import { check as checkFields, count, id, orNull, type Refusal, text } from './fields.ts';
import { day } from './more-fields.ts';
import { after, type Names, onDay, plural } from './names.ts';
import { MOST_ORDERED } from './store-eggs.ts';

type Body = Bodies['order_taken'];

const FIELDS = {
  order: id,
  code: text({ most: 40 }),
  customer: orNull(id),
  line: id,
  eggs: count({ least: 1, most: MOST_ORDERED }),
  wanted_by: day,
  oldest_days: orNull(count({ least: 1, most: 60 })),
  note: text({ blank: true }),
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ code, eggs, line, wanted_by, note }: Body, names: Names): string =>
  `Order ${code}: ${plural(eggs, 'egg')} of ${names.line(line)} by ${onDay(wanted_by)}${after(note)}`;

export function stands(barn: Barn, { day: on, body }: Written<Body>): void {
  const { order, ...row } = body;
  const now = barn.orders.get(order) ?? {
    taken_on: on,
    promised_eggs: null,
    promised_for: null,
    promised_sure: null,
    promised_on: null,
    withdrawn_on: null,
  };
  barn.orders.set(order, { ...now, ...row, id: order });
}

export function unstands(barn: Barn, { before, body }: Struck<Body>): void {
  if (before) stands(barn, before);
  else barn.orders.delete(body.order);
}
