/** What the phone need not keep any longer. Nothing unsent is ever among it. */
import { daysBefore } from '../clock.ts';
import type { Day, Millis } from '../contract.ts';
import type { FarmBase } from './database.ts';

/** Entries that the house took, in case it is restored from an older back-up. */
export const SENT_KEPT_DAYS = 180;
/** Pulled entries; older ones are read from the house when asked for. */
export const PULLED_KEPT_DAYS = 90;
const DAY_MS = 86_400_000;

/** Forgets entries that the house took more than 180 days ago. Stops at the first younger one: they lie in order. */
export async function pruneOutbox(farm: FarmBase, now: Millis): Promise<number> {
  return farm.use(async (db) => {
    const tx = db.transaction('outbox', 'readwrite', { durability: 'relaxed' });
    let pruned = 0;
    for (let at = await tx.store.openCursor(); at; at = await at.continue()) {
      const { state, sent_at = now } = at.value;
      if (state !== 'sent') continue;
      if (sent_at >= now - SENT_KEPT_DAYS * DAY_MS) break;
      await at.delete();
      pruned += 1;
    }
    await tx.done;
    return pruned;
  });
}
/** Forgets pulled entries of more than 90 days ago; they are read from the house when asked for. */
export async function pruneRows(farm: FarmBase, today: Day, days = PULLED_KEPT_DAYS): Promise<void> {
  await farm.use(async (db) => {
    const tx = db.transaction('entry_rows', 'readwrite', { durability: 'relaxed' });
    const old = IDBKeyRange.upperBound(daysBefore(today, days), true);
    const ids = await tx.store.index('day').getAllKeys(old);
    await Promise.all([...ids.map((id) => tx.store.delete(id)), tx.done]);
  });
}
