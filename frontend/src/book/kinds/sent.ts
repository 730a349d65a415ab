/** A shipment left, on the entry's day. */
import type { Bodies } from '../contract.ts';
import { type Barn, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, id, type Refusal, text } from './fields.ts';
import { after, type Names } from './names.ts';

type Body = Bodies['sent'];

const FIELDS = { shipment: id, by: text({ most: 80 }), note: text({ blank: true }) };

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ shipment, by, note }: Body, names: Names): string =>
  `Shipment ${names.shipment(shipment)} sent, ${by}${after(note)}`;

export const stands = (barn: Barn, { day, body }: Written<Body>): void =>
  putRow(barn.shipments, body.shipment, { sent_on: day, sent_by: body.by });
export const unstands = (barn: Barn, { before, body }: Struck<Body>): void =>
  putRow(barn.shipments, body.shipment, { sent_on: before?.day ?? null, sent_by: before?.body.by ?? '' });
