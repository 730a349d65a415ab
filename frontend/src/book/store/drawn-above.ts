import type { FarmBase, Kept } from './database.ts';

/**
 * Lets no place be drawn that the house has had from this phone already. True when one would have been: what this phone
 * kept is not here any more (evicted, damaged, put back to an older state), and what it had not sent is gone with it.
 */
export const drawnAbove = (farm: FarmBase, had: number): Promise<boolean> =>
  farm.use(async (db) => {
    const last = await db.transaction('outbox').store.openKeyCursor(null, 'prev');
    if ((last?.key ?? 0) >= had) return false;
    // What is older than 180 days is not kept, so the store may be empty and whole: only the next place to be drawn tells.
    const tx = db.transaction('outbox', 'readwrite', { durability: 'strict' });
    const next = await tx.store.add({ id: '' } as Kept);
    if (next > had) {
      // Taken back, so that no place is missed.
      tx.abort();
      await tx.done.catch(() => {});
      return false;
    }
    await tx.store.delete(next);
    await tx.store.add({ id: '', device_seq: had } as Kept);
    await tx.store.delete(had);
    await tx.done;
    return true;
  });
