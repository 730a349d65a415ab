/** Birds sold alive, from a cage or a brood. Who bought them is not written here. */
import type { Bodies } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import { check as checkFields, type Refusal, text } from './fields.ts';
import { leave } from './leaving.ts';
import { after, type Names } from './names.ts';
import { checkTaken, TAKEN_FROM, takenInWords } from './taken-from.ts';

type Body = Bodies['birds_sold'];

const FIELDS = { ...TAKEN_FROM, note: text({ blank: true }) };

export const check = (body: unknown): Refusal | null =>
  checkFields(body, FIELDS) ?? checkTaken(body as Body, 'were sold');

export const words = (body: Body, names: Names): string =>
  `${takenInWords(body, names, 'sold')}${after(body.note)}`;

export const stands = (barn: Barn, entry: Written<Body>): void =>
  leave(barn, entry, { how: 'sold', times: 1 });
export const unstands = (barn: Barn, struck: Struck<Body>): void =>
  leave(barn, struck, { how: 'sold', times: -1 });
