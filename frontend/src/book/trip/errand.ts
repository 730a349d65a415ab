/** What a trip to the house needs. No screen, no signals: the worker runs the same code. */
import { offsetOf } from '../clock.ts';
import type { HouseState } from '../contract.ts';
import { Refused } from '../refused.ts';
import { type FarmBase, getMark, type Kept, type RootBase } from '../store/database.ts';
import { requeued } from '../store/verdicts.ts';
import { type Answered, ask, type Identity, identityOf, type Ways } from './request.ts';

export interface Errand extends Ways {
  farm: FarmBase;
  root: RootBase;
  app: string;
  /** How much is sent at once, and how often the house has failed on it; kept from trip to trip. */
  trouble: { size: number; faults: number };
  /** Called when the outbox or the rows have changed. */
  told?: (what: Told) => void;
}

export type Told =
  | { what: 'marked'; kept: Kept[] }
  | { what: 'pulled'; tables: Set<string> }
  | { what: 'house'; said: HouseState }
  | { what: 'lost' };

export const freshTrouble = (): Errand['trouble'] => ({ size: 500, faults: 0 });

export type Meeting = 'same' | 'new_book' | 'other_house';

/**
 * Compares who answered with whom this phone's book belongs to. A new book of the same house (it was restored from a
 * back-up): all that was sent in the last 180 days waits again, and the changes are read from the beginning.
 */
export async function meet(farm: FarmBase, { house, book }: Identity): Promise<Meeting> {
  const known = await farm.use(async (db) => {
    const tx = db.transaction('marks');
    return { house: await getMark(tx, 'house'), book: await getMark(tx, 'book') };
  });
  // Nearly every answer: nothing is written for it.
  if (known.house === house && known.book === book) return 'same';
  return farm.use(async (db) => {
    const tx = db.transaction(['outbox', 'marks'], 'readwrite', { durability: 'strict' });
    const marks = tx.objectStore('marks');
    const known = { house: await getMark(tx, 'house'), book: await getMark(tx, 'book') };
    if (known.house !== undefined && known.house !== house) return 'other_house';
    if (known.book === book && known.house === house) return 'same';
    await Promise.all([marks.put(house, 'house'), marks.put(book, 'book')]);
    if (known.book === undefined) {
      await tx.done;
      return 'same';
    }
    const generation = (await getMark(tx, 'generation')) ?? { now: 0, sweep: false };
    const outbox = tx.objectStore('outbox');
    const kept = await outbox.getAll();
    await Promise.all([
      ...kept.map((each) => outbox.put(requeued(each))),
      marks.put(0, 'cursor'),
      marks.put({ now: generation.now + 1, sweep: true }, 'generation'),
      tx.done,
    ]);
    return 'new_book';
  });
}

/** Reads the changes from the beginning at the next pull, and takes away what does not come again. */
export const dropCursor = (farm: FarmBase): Promise<void> =>
  farm.use(async (db) => {
    const tx = db.transaction('marks', 'readwrite');
    const generation = (await getMark(tx, 'generation')) ?? { now: 0, sweep: false };
    await Promise.all([
      tx.store.put(0, 'cursor'),
      tx.store.put({ now: generation.now + 1, sweep: true }, 'generation'),
      tx.done,
    ]);
  });

/** A slow answer tells little about the time. */
const SLOWEST_CLOCK_MS = 10_000;

export async function setClock(farm: FarmBase, { said, asked, heard }: Answered<Identity>): Promise<void> {
  if (heard - asked > SLOWEST_CLOCK_MS || heard < asked) return;
  const offset = offsetOf(said.house_time, asked, heard);
  await farm.use(async (db) => {
    const tx = db.transaction('clock', 'readwrite', { durability: 'relaxed' });
    const clock = (await tx.store.get('clock')) ?? { offset: 0, last: 0 };
    await Promise.all([tx.store.put({ ...clock, offset }, 'clock'), tx.done]);
  });
}

/** Asks who the house is and who is signed in, and keeps the token that unsafe requests must carry. */
export async function askHouse(ways: Ways, root: RootBase): Promise<HouseState> {
  const { said } = await ask<HouseState>(ways, '/api/house');
  identityOf(said);
  await root.use((db) => db.put('marks', said.csrf, 'csrf'));
  return said;
}

/** Posts with the token, and once more with a new one when the house no longer knows it. */
export async function post<T>(
  { root, ...ways }: Ways & { root: RootBase },
  path: string,
  body: unknown,
  timeout?: number,
): Promise<Answered<T>> {
  const csrf = () => root.use((db) => db.get('marks', 'csrf'));
  const how = { method: 'POST' as const, body, ...(timeout !== undefined && { timeout }) };
  try {
    return await ask<T>(ways, path, { ...how, csrf: await csrf() });
  } catch (error) {
    if (!(error instanceof Refused) || error.code !== 'csrf') throw error;
    await askHouse(ways, root);
    return ask<T>(ways, path, { ...how, csrf: await csrf() });
  }
}
