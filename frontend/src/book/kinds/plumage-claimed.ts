/** What the owner says of a line's plumage: the shares it is sold as, its single recessives. Written again, it replaces. */
import type { Bodies } from '../contract.ts';
import { type Barn, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, id, type Refusal, text, wrong } from './fields.ts';
import { all, amount, flag, listOf } from './more-fields.ts';
import { after, type Names } from './names.ts';

type Body = Bodies['plumage_claimed'];

const MOST_CLASSES = 12;
const key = text({ most: 20 });

const FIELDS = {
  line: id,
  parts: listOf(all({ key, part: amount(0, 1000) }), { most: MOST_CLASSES }),
  recessive: listOf(key, { most: MOST_CLASSES }),
  met_at_random: flag,
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { parts, recessive } = body as Body;
  if (new Set(parts.map((p) => p.key)).size < parts.length)
    return wrong('parts', 'must name each class once');
  if (parts.length === 1 || (parts.length > 1 && !parts.some(({ part }) => part > 0)))
    return wrong('parts', 'must be two parts or more that come to more than 0, or none');
  return new Set(recessive).size < recessive.length ? wrong('recessive', 'must name each class once') : null;
}

export const words = ({ line, parts, note }: Body, names: Names): string =>
  `${names.line(line)} is sold as ${
    parts.length === 0 ? 'nothing' : parts.map(({ key: name, part }) => `${part} ${name}`).join(' : ')
  }${after(note)}`;

export const stands = (barn: Barn, { day, body }: Written<Body>): void =>
  putRow(barn.lines, body.line, {
    claim: {
      parts: Object.fromEntries(body.parts.map(({ key: name, part }) => [name, part])),
      recessive: body.recessive,
      met_at_random: body.met_at_random,
      said_on: day,
    },
  });

export function unstands(barn: Barn, { before, last, body }: Struck<Body>): void {
  if (!last) return;
  if (before) stands(barn, before);
  else putRow(barn.lines, body.line, { claim: null });
}
