/** What stands in a cage, counted by looking: it resets the head count. */
import type { Bodies } from '../contract.ts';
import { type Barn, stockedOn, type Written } from './barn.ts';
import { check as checkFields, count, id, type Refusal } from './fields.ts';
import { headsInWords, type Names } from './names.ts';

type Body = Bodies['head_check'];

const FIELDS = { cage: id, hens: count(), cocks: count(), unsexed: count() };

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = (body: Body, names: Names): string =>
  `Cage ${names.cage(body.cage)}: ${headsInWords(body)} seen there`;

export function stands(barn: Barn, { day, body }: Written<Body>): void {
  const row = barn.cages.get(body.cage);
  if (!row) return;
  const now = { hens: body.hens, cocks: body.cocks, unsexed: body.unsexed };
  barn.cages.set(row.id, { ...row, ...now, stocked_on: stockedOn(row, now, day) });
}
// What stood before a struck check is for the house to say: it has every entry, this phone has not.
