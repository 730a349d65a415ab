/** What a count changes in the egg store: its sound eggs come into it. An egg round does without it. */
import type { Bodies, Day } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import { check as checkCount, words as wordsOf } from './egg-count.ts';
import { storeRow } from './store-eggs.ts';

export const check = checkCount;
export const words = wordsOf;

type Body = Bodies['egg_count'];

const DAY_MS = 86_400_000;
const dayBefore = (day: Day): Day =>
  new Date(Date.parse(`${day}T00:00:00Z`) - DAY_MS).toISOString().slice(0, 10);

/** The last day of lay whose eggs a round of that day holds (ruling 12). */
const laidOn = (barn: Barn, day: Day, round: string): Day =>
  barn.farm?.rounds.find(({ key }) => key === round)?.after_lay ? day : dayBefore(day);

function collect(barn: Barn, { day, body }: Written<Body>, times: 1 | -1): void {
  const line = barn.cages.get(body.cage)?.line;
  if (!line) return;
  const row = storeRow(barn, line, laidOn(barn, day, body.round));
  const sound = times * (body.eggs - body.cracked - body.soiled - body.thin_shelled);
  barn.store.set(row.id, { ...row, collected: row.collected + sound, left: row.left + sound });
}

export const stands = (barn: Barn, entry: Written<Body>): void => collect(barn, entry, 1);
export const unstands = (barn: Barn, struck: Struck<Body>): void => collect(barn, struck, -1);
