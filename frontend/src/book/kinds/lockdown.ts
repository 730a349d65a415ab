/** A setting locked down: no more turning, more moisture, until it hatches. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, id, type Refusal, text } from './fields.ts';
import { after } from './names.ts';

const FIELDS = { setting: id, note: text({ blank: true }) };

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ note }: Bodies['lockdown']): string => `Setting locked down${after(note)}`;
