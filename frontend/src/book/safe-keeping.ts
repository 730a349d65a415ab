/** Whether this phone keeps the book safe: the browser's promise, the room left, and the outbox as a file. */
import { signal } from '@preact/signals';
import type { Entry, Id, Millis } from './contract.ts';
import { type FarmBase, type Mishap, readMark } from './database.ts';
import { asWire } from './outbox.ts';
import { PROTOCOL } from './request.ts';

export interface Storage {
  /** The browser promised to keep the book; null when it cannot be asked. */
  persisted: boolean | null;
  /** The last write did not fit. */
  full: boolean;
  /** One sentence for the person, where something else is wrong with the store. */
  problem?: string | null;
}

export const storage = signal<Storage>({ persisted: null, full: false });

export const setStorage = (change: Partial<Storage>): void => {
  storage.value = { ...storage.peek(), ...change };
};

export const forgetStorage = (): void => {
  storage.value = { persisted: null, full: false };
};

const SAID: Record<Mishap, string> = {
  older_tab_open:
    'An older Barnbook is open in another tab. Close the other tabs; this one goes on by itself.',
  newer_tab_open: 'A newer Barnbook is open in another tab. Reload this one to go on writing.',
};

export const onMishap = (mishap: Mishap): void => setStorage({ problem: SAID[mishap] });

/** Tells whether the browser promised; asks for the promise when `ask` is set (after the first entry). */
export async function lookAtStorage(ask: boolean): Promise<void> {
  const keeper = typeof navigator === 'undefined' ? undefined : navigator.storage;
  if (!keeper?.persisted) return;
  const persisted = (await keeper.persisted()) || (ask && keeper.persist ? await keeper.persist() : false);
  setStorage({ persisted });
}

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
