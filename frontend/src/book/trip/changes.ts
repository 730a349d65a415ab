/** The second leg: brings in what has changed at the house since the last time. */
import type { ChangesAnswer } from '../contract.ts';
import { CannotReach } from '../refused.ts';
import { readMark } from '../store/database.ts';
import { beginPull, layDown } from '../store/lay-down.ts';
import { type Errand, type Meeting, meet, setClock } from './errand.ts';
import { ask, identityOf } from './request.ts';

export const MOST_ROWS = 2000;
const TIMEOUT_MS = 60_000;

/** Reads to the end of the changes. A new book or another house stops it: nothing of that answer is kept. */
export async function pull(errand: Errand): Promise<Meeting> {
  const { farm } = errand;
  const begun = await beginPull(farm);
  let after = begun.cursor;
  for (;;) {
    const answered = await ask<ChangesAnswer>(errand, `/api/changes?after=${after}&limit=${MOST_ROWS}`, {
      timeout: TIMEOUT_MS,
    });
    const answer = answered.said;
    const meeting = await meet(farm, identityOf(answer));
    if (meeting !== 'same') return meeting;
    if (!isPage(answer, after)) throw new CannotReach('What came back does not answer what was asked.');
    await setClock(farm, answered);
    const tables = await layDown(farm, { after, pull: begun.pull, answer });
    if (tables?.size) errand.told?.({ what: 'pulled', tables });
    if (!answer.more && tables) return 'same';
    // Another tab pulled meanwhile: go on from where it came to.
    after = tables ? answer.next : ((await readMark(farm, 'cursor')) ?? 0);
  }
}

function isPage(answer: Partial<ChangesAnswer>, after: number): boolean {
  const { rows, next, more } = answer;
  return (
    Array.isArray(rows) &&
    typeof next === 'number' &&
    typeof more === 'boolean' &&
    (more ? next > after : next >= after) &&
    rows.every(
      ({ table, id, row }) => typeof table === 'string' && typeof id === 'string' && typeof row === 'object',
    )
  );
}
