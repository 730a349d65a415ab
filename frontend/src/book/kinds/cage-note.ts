/** A note about a cage. It changes nothing that stands. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, id, type Refusal, text } from './fields.ts';
import type { Names } from './names.ts';

type Body = Bodies['cage_note'];

const FIELDS = { cage: id, text: text() };

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = (body: Body, names: Names): string => `Cage ${names.cage(body.cage)}: ${body.text}`;
