/** A cage passed over in a round: its eggs stay, and belong to the next count. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, id, type Refusal, text } from './fields.ts';
import { after, type Names } from './names.ts';

type Body = Bodies['cage_passed'];

const FIELDS = { cage: id, round: text({ most: 20 }), reason: text({ blank: true }) };

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = (body: Body, names: Names): string =>
  `Cage ${names.cage(body.cage)} passed over, ${names.round(body.round)}${after(body.reason)}`;
