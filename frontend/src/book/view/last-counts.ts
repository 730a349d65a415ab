/** The last counts of each cage, so that an unlikely count is asked about at the tap, without waiting. */

import { daysBefore } from '../clock.ts';
import type { Day, EntryRow, Id } from '../contract.ts';
import type { Collected } from '../kinds/egg-count.ts';
import { compare } from '../order.ts';
import type { FarmBase } from '../store/database.ts';
import { newestOf, readEntriesSince } from '../store/rows.ts';
import { cages, farm, openEntries } from './shelf.ts';
import { counts, struckHere } from './standing.ts';

interface Count {
  id: Id;
  day: Day;
  stamp: number;
  round: string;
  eggs: number;
}

/** Enough to hold every round of the last day that was counted. */
const ENOUGH = 8;
const LATELY_DAYS = 3;

let pulled = new Map<Id, Count[]>();

const countOf = ({ id, day, stamp, body }: { id: Id; day: Day; stamp: number; body: object }): Count => {
  const { round, eggs } = body as { round: string; eggs: number };
  return { id, day, stamp, round, eggs };
};

const isCount = (row: EntryRow): boolean =>
  row.kind === 'egg_count' && row.struck_by === null && row.state === 'stands';

/** Most cages were counted in the last days: those are read in one go, and only the others one by one. */
export async function readLastCounts(base: FarmBase, today: Day): Promise<void> {
  const read = new Map<Id, Count[]>();
  const lately = await readEntriesSince(base, daysBefore(today, LATELY_DAYS));
  for (const row of lately.filter(isCount).sort((a, b) => compare(b, a))) {
    const { cage } = row.body as { cage: Id };
    read.set(cage, [...(read.get(cage) ?? []), countOf(row)]);
  }
  const enough = (found: EntryRow[]) => found.length >= ENOUGH;
  for (const { id, closed } of cages.peek()) {
    if (closed || read.has(id)) continue;
    read.set(id, (await newestOf(base, `cage/${id}`, { wanted: isCount, enough })).map(countOf));
  }
  pulled = read;
}

/** The last counts of a cage, newest first, this phone's own among them; without those about to be struck. */
export function lastCountsOf(cage: Id, instead: readonly Id[] = []): Collected[] {
  const open = openEntries.peek();
  const struck = new Set([...struckHere(open), ...instead]);
  const known = pulled.get(cage) ?? [];
  const ids = new Set(known.map(({ id }) => id));
  const own = open
    .filter(({ id, entry }) => entry.kind === 'egg_count' && !struck.has(id))
    .filter((kept) => counts(kept, ids) && (kept.entry.body as { cage: Id }).cage === cage)
    .map(({ entry }) => countOf(entry));
  const afterLay = new Map(farm.peek()?.rounds.map((round) => [round.key, round.after_lay]));
  return [...own, ...known.filter(({ id }) => !struck.has(id))]
    .sort((a, b) => compare(b, a))
    .map(({ day, round, eggs }) => ({ day, eggs, afterLay: afterLay.get(round) ?? false }));
}
