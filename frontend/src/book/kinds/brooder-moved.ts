/** A brood moved to another brooder, by its name. */
import type { Bodies } from '../contract.ts';
import { type Barn, putRow, type Written } from './barn.ts';
import { check as checkFields, id, type Refusal, text } from './fields.ts';
import { after, type Names } from './names.ts';

const FIELDS = { brood: id, to: text({ most: 80 }), note: text({ blank: true }) };

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ brood, to, note }: Bodies['brooder_moved'], names: Names): string =>
  `Brood ${names.brood(brood)}: moved to ${to}${after(note)}`;

export const stands = (barn: Barn, { body }: Written<Bodies['brooder_moved']>): void =>
  putRow(barn.broods, body.brood, { brooder: body.to });
