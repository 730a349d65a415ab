/** The outbox as a file: what can be carried to the house by hand when no phone or address works any more. */
import type { Entry, Id, Millis } from '../contract.ts';
import { type FarmBase, readMark } from '../store/database.ts';
import { asWire } from '../store/outbox.ts';
import { PROTOCOL } from './request.ts';

/** What the house reads back in. `entries` are as they would be pushed. */
export interface OutboxFile {
  barnbook: 'outbox';
  protocol: number;
  farm: Id;
  farm_name: string;
  house: Id | null;
  book: Id | null;
  saved_at: Millis;
  entries: (Entry & { state: string; code?: string; detail?: string })[];
}

/** Everything that the house does not have, or that the person still has to answer for. */
export async function outboxFile(
  base: FarmBase,
  { farm, name, now }: { farm: Id; name: string; now: Millis },
): Promise<File> {
  const kept = await base.use((db) => db.getAllFromIndex('outbox', 'open'));
  kept.sort((a, b) => a.device_seq - b.device_seq);
  const content: OutboxFile = {
    barnbook: 'outbox',
    protocol: PROTOCOL,
    farm,
    farm_name: name,
    house: (await readMark(base, 'house')) ?? null,
    book: (await readMark(base, 'book')) ?? null,
    saved_at: now,
    entries: kept.map((each) => ({
      ...asWire(each),
      state: each.state,
      ...(each.code !== undefined && { code: each.code }),
      ...(each.detail !== undefined && { detail: each.detail }),
    })),
  };
  const day = new Date(now).toISOString().slice(0, 10);
  const called = `barnbook-outbox-${name.toLowerCase().replaceAll(/[^a-z0-9]+/g, '-')}-${day}.json`;
  return new File([JSON.stringify(content, null, 1)], called, { type: 'application/json' });
}
