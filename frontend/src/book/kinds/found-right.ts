/** What was asked about entries was looked at, and is right as it is written: the question is answered for good. */
import type { Bodies } from '../contract.ts';
import { check as checkFields, id, type Refusal, text, wrong } from './fields.ts';
import { listOf } from './more-fields.ts';
import { after, type Names } from './names.ts';

type Body = Bodies['found_right'];

/** So many entries one answer may speak of. */
export const MOST = 200;

const FIELDS = {
  entries: listOf(id, { least: 1, most: MOST }),
  code: text({ most: 30 }),
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  if ((body as Body).code === 'counted_twice')
    return wrong('code', 'cannot be counted_twice: strike the count that is wrong');
  return null;
}

export function words({ entries, note }: Body, names: Names): string {
  const [first, ...others] = entries;
  const named = first === undefined ? 'nothing' : names.entry(first);
  const more = others.length === 0 ? '' : `, and ${others.length} more`;
  return `Found right: ${named}${more}${after(note)}`;
}
