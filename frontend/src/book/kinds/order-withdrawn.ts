/** An order that the customer, or the owner, took back. */
import type { Bodies } from '../contract.ts';
import { type Barn, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, id, type Refusal, text } from './fields.ts';
import { after, type Names } from './names.ts';

type Body = Bodies['order_withdrawn'];

const FIELDS = { order: id, why: text({ blank: true }) };

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ order, why }: Body, names: Names): string =>
  `Order ${names.order(order)} withdrawn${after(why)}`;

export const stands = (barn: Barn, { day, body }: Written<Body>): void =>
  putRow(barn.orders, body.order, { withdrawn_on: day });
export const unstands = (barn: Barn, { body, before }: Struck<Body>): void =>
  putRow(barn.orders, body.order, { withdrawn_on: before?.day ?? null });
