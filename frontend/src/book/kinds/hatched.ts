/** What came out of a tray since the last look; written again it adds. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, count, id, type Refusal, text } from './fields.ts';
import { after } from './names.ts';

const FIELDS = {
  setting: id,
  tray: id,
  hatched: count(),
  pipped_dead: count(),
  dead_in_shell: count(),
  note: text({ blank: true }),
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ hatched, pipped_dead, dead_in_shell, note }: Bodies['hatched']): string =>
  `Tray hatched: ${hatched} hatched, ${pipped_dead} pipped and dead, ${dead_in_shell} dead in shell${after(note)}`;
