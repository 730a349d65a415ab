/** The owner's word to a customer: so many eggs on that day, where the house was at least 90 in 100 sure. */
import type { Bodies } from '../contract.ts';
import { type Barn, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, count, id, type Refusal } from './fields.ts';
import { amount, day } from './more-fields.ts';
import { type Names, onDay, plural } from './names.ts';
import { MOST_ORDERED } from './store-eggs.ts';

type Body = Bodies['promised'];

export const LEAST_SURE = 0.9;

const FIELDS = {
  order: id,
  eggs: count({ least: 1, most: MOST_ORDERED }),
  for_day: day,
  sure: amount(LEAST_SURE, 1),
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ order, eggs, for_day, sure }: Body, names: Names): string =>
  `Order ${names.order(order)} promised: ${plural(eggs, 'egg')} for ${onDay(for_day)}, ${Math.round(sure * 100)} % sure`;

export const stands = (barn: Barn, { day: on, body }: Written<Body>): void =>
  putRow(barn.orders, body.order, {
    promised_eggs: body.eggs,
    promised_for: body.for_day,
    promised_sure: body.sure,
    promised_on: on,
  });

export function unstands(barn: Barn, { before, body }: Struck<Body>): void {
  if (before) stands(barn, before);
  else
    putRow(barn.orders, body.order, {
      promised_eggs: null,
      promised_for: null,
      promised_sure: null,
      promised_on: null,
    });
}
