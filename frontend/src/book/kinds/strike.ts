/** A strike: the entry that it names was written in error. It stays readable and counts for nothing. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, id, type Refusal, text } from './fields.ts';
import { after, type Names } from './names.ts';

type Body = Bodies['strike'];

const FIELDS = { entry: id, why: text({ blank: true }) };

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = (body: Body, names: Names): string =>
  `Struck out: ${names.entry(body.entry)}${after(body.why)}`;
