/** What the person decided of a bird: keep, sell, process, or hold. The last one stands. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, id, type Refusal, text } from './fields.ts';
import { oneOf } from './more-fields.ts';
import { after, type Names } from './names.ts';

const FIELDS = {
  bird: id,
  brood: id,
  decision: oneOf('keep', 'sell', 'process', 'hold'),
  note: text({ blank: true }),
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ bird, brood, decision, note }: Bodies['bird_decided'], names: Names): string =>
  `Brood ${names.brood(brood)}, ${names.bird(bird)}: ${decision}${after(note)}`;
