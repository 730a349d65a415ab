/** The store looked at: so many eggs of this line and day are there. It stands against all that was written before. */
import type { Bodies } from '../contract.ts';
import type { Barn, Written } from './barn.ts';
import { check as checkFields, count, id, type Refusal, text } from './fields.ts';
import { all, day, listOf } from './more-fields.ts';
import { after, type Names, onDay, plural } from './names.ts';
import { checkOnce, MOST, storeRow } from './store-eggs.ts';

type Body = Bodies['store_seen'];

const SEEN = all({ line: id, laid_on: day, eggs: count() });
const FIELDS = { eggs: listOf(SEEN, { least: 1, most: MOST }), note: text({ blank: true }) };

export const check = (body: unknown): Refusal | null =>
  checkFields(body, FIELDS) ?? checkOnce((body as Body).eggs);

export function words({ eggs, note }: Body, names: Names): string {
  const parts = eggs.map(
    (each) => `${plural(each.eggs, 'egg')} of ${names.line(each.line)} laid on ${onDay(each.laid_on)}`,
  );
  const said = parts.length > 3 ? [...parts.slice(0, 2), `and ${parts.length - 2} more days`] : parts;
  return `In the store: ${said.join(', ')}${after(note)}`;
}

export function stands(barn: Barn, { day: seenOn, body }: Written<Body>): void {
  for (const { line, laid_on, eggs } of body.eggs) {
    const row = storeRow(barn, line, laid_on);
    barn.store.set(row.id, { ...row, seen: eggs, seen_on: seenOn, left: eggs });
  }
}
