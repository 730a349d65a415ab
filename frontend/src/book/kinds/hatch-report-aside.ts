/** The owner sets a hatch report aside, with the reason: it is read, and in no figure. */
import type { Bodies } from '../contract.ts';
import { type Barn, NO_REPORT, putRow, type Written } from './barn.ts';
import { check as checkFields, id, type Refusal, text } from './fields.ts';
import { after, type Names } from './names.ts';

type Body = Bodies['hatch_report_aside'];

export const check = (body: unknown): Refusal | null =>
  checkFields(body, { shipment: id, why: text({ most: 200 }) });

export const words = (body: Body, names: Names): string =>
  `Hatch report on ${names.shipment(body.shipment)} set aside${after(body.why)}`;

export function stands(barn: Barn, { body, day }: Written<Body>): void {
  const now = barn.shipments.get(body.shipment)?.report ?? NO_REPORT;
  putRow(barn.shipments, body.shipment, { report: { ...now, aside_on: day, aside_why: body.why } });
}
