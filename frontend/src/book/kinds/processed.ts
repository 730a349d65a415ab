/** Birds processed, taken from a cage or a brood: live and dressed weight, and how clean they plucked. */
import type { Bodies } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import { check as checkFields, count, orNull, type Refusal, text, wrong } from './fields.ts';
import { leave } from './leaving.ts';
import { grams, typed } from './more-fields.ts';
import { after, type Names } from './names.ts';
import { checkTaken, TAKEN_FROM, takenInWords } from './taken-from.ts';

type Body = Bodies['processed'];

const FIELDS = {
  ...TAKEN_FROM,
  live_g: orNull(grams),
  live_typed: orNull(typed),
  dressed_g: orNull(grams),
  dressed_typed: orNull(typed),
  pluck: orNull(count({ least: 1, most: 5 })),
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const given = body as Body;
  const taken = checkTaken(given, 'were processed');
  if (taken) return taken;
  if ((given.live_g === null) !== (given.live_typed === null))
    return wrong('live_typed', 'and the live weight must both be given, or neither');
  if ((given.dressed_g === null) !== (given.dressed_typed === null))
    return wrong('dressed_typed', 'and the dressed weight must both be given, or neither');
  return null;
}

export function words(body: Body, names: Names): string {
  const { live_typed, dressed_typed, pluck } = body;
  const what = [
    live_typed && `${live_typed.value} ${live_typed.unit} live`,
    dressed_typed && `${dressed_typed.value} ${dressed_typed.unit} dressed`,
    pluck && `plucked ${pluck} of 5`,
  ].filter((part) => typeof part === 'string');
  const said = what.length > 0 ? `, ${what.join(', ')}` : '';
  return `${takenInWords(body, names, 'processed')}${said}${after(body.note)}`;
}

export const stands = (barn: Barn, entry: Written<Body>): void =>
  leave(barn, entry, { how: 'processed', times: 1 });
export const unstands = (barn: Barn, struck: Struck<Body>): void =>
  leave(barn, struck, { how: 'processed', times: -1 });
