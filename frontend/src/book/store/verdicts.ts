/** What becomes of an entry once it has been sent: marked by its own verdict, set apart, or sent again. */
import type { Millis, Verdict } from '../contract.ts';
import type { FarmBase, Kept, State } from './database.ts';
import { settled } from './outbox.ts';

/** The first entries that wait, in the order in which they were made. */
export const firstWaiting = (farm: FarmBase, most: number): Promise<Kept[]> =>
  farm.use((db) => db.getAllFromIndex('outbox', 'open', IDBKeyRange.only('waiting'), most));

/** Those that wait among the next so many after that one: none may wait among them, and some beyond. */
export const waitingAfter = (farm: FarmBase, { device_seq }: Kept, most: number): Promise<Kept[]> =>
  farm.use(async (db) => {
    const next = await db.getAll('outbox', IDBKeyRange.lowerBound(device_seq, true), most);
    return next.filter(({ state }) => state === 'waiting');
  });

export const countWaiting = (farm: FarmBase): Promise<number> =>
  farm.use((db) => db.countFromIndex('outbox', 'open', IDBKeyRange.only('waiting')));

export interface Taken {
  now: Millis;
  pullsBegun: number;
}

/**
 * Marks each entry by its own verdict, and returns them as marked. One transaction: killed in between, they are all sent
 * again, which is nothing. `sent` are in the order in which they were made.
 */
export async function mark(
  farm: FarmBase,
  sent: readonly Pick<Kept, 'device_seq'>[],
  verdicts: readonly Verdict[],
  taken: Taken,
): Promise<Kept[]> {
  const [first, last] = [sent[0], sent.at(-1)];
  if (!first || !last) return [];
  const verdictOf = new Map(verdicts.map((verdict) => [verdict.id, verdict]));
  return farm.use(async (db) => {
    const tx = db.transaction('outbox', 'readwrite', { durability: 'relaxed' });
    // Read again, and not taken from what was sent: one may have been struck while it was on its way.
    const found = await tx.store.getAll(IDBKeyRange.bound(first.device_seq, last.device_seq));
    const done = found.flatMap((kept) => {
      const verdict = verdictOf.get(kept.id);
      return verdict ? [marked(kept, verdict, taken)] : [];
    });
    await Promise.all([...done.map((kept) => tx.store.put(kept)), tx.done]);
    return done;
  });
}

export function marked(kept: Kept, { verdict, code, detail, field }: Verdict, taken: Taken): Kept {
  const { open: _open, code: _code, detail: _detail, field: _field, ...bare } = kept;
  const said = {
    ...bare,
    verdict,
    ...(code !== undefined && { code }),
    ...(detail !== undefined && { detail }),
    ...(field !== undefined && { field }),
  };
  if (verdict === 'aside') return settled({ ...said, state: 'aside', open: 'aside', sent_at: taken.now });
  if (verdict === 'later') return { ...said, state: 'later', open: 'later', sent_at: taken.now };
  return { ...said, state: 'sent', sent_at: taken.now, sent_pull: taken.pullsBegun };
}

/** Sets one entry that the house fails on apart from the rest. It stays here, and is tried again by hand. */
export async function setStuck(farm: FarmBase, device_seq: number, detail: string): Promise<Kept[]> {
  return farm.use(async (db) => {
    const tx = db.transaction('outbox', 'readwrite', { durability: 'strict' });
    const kept = await tx.store.get(device_seq);
    if (kept?.state !== 'waiting') return [];
    const stuck: Kept = { ...kept, state: 'stuck', open: 'stuck', code: 'stuck', detail };
    await Promise.all([tx.store.put(stuck), tx.done]);
    return [stuck];
  });
}

/** Lets entries in these states be sent again. */
export async function sendAgain(farm: FarmBase, states: State[]): Promise<number> {
  return farm.use(async (db) => {
    const tx = db.transaction('outbox', 'readwrite', { durability: 'relaxed' });
    const index = tx.store.index('open');
    const found = (await Promise.all(states.map((state) => index.getAll(IDBKeyRange.only(state))))).flat();
    const puts = found.map((kept) => tx.store.put({ ...kept, state: 'waiting', open: 'waiting' }));
    await Promise.all([...puts, tx.done]);
    return found.length;
  });
}

/** What was sent, for a house that may have lost it: all of it waits again. The rows kept here hold its effect. */
export function requeued(kept: Kept): Kept {
  if (kept.state !== 'sent' && kept.state !== 'later') return kept;
  const { sent_pull: _, ...bare } = kept;
  return { ...bare, state: 'waiting', open: 'waiting', again: true };
}
