/** The owner closes a hatch report: the link takes no more. */
import type { Bodies } from '../contract.ts';
import { type Barn, NO_REPORT, putRow, type Written } from './barn.ts';
import { check as checkFields, id, type Refusal } from './fields.ts';
import type { Names } from './names.ts';

type Body = Bodies['hatch_report_closed'];

export const check = (body: unknown): Refusal | null => checkFields(body, { shipment: id });

export const words = (body: Body, names: Names): string =>
  `Hatch report on ${names.shipment(body.shipment)} closed`;

export function stands(barn: Barn, { body, day }: Written<Body>): void {
  const now = barn.shipments.get(body.shipment)?.report ?? NO_REPORT;
  putRow(barn.shipments, body.shipment, { report: { ...now, closed_on: now.closed_on ?? day } });
}
