/** Whether this phone keeps the book safe: the browser's promise, and the room left. */
import { signal } from '@preact/signals';
import type { Mishap } from './store/database.ts';

export interface Storage {
  /** The browser promised to keep the book; null when it cannot be asked. */
  persisted: boolean | null;
  /** The last write did not fit. */
  full: boolean;
  /** The browser has lost what this phone kept; until the person has read it. */
  lost?: boolean;
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

export const onMishap = (mishap: Mishap | null): void =>
  setStorage({ problem: mishap === null ? null : SAID[mishap] });

/** Tells whether the browser promised; asks for the promise when `ask` is set (after the first entry). */
export async function lookAtStorage(ask: boolean): Promise<void> {
  const keeper = typeof navigator === 'undefined' ? undefined : navigator.storage;
  if (!keeper?.persisted) return;
  const persisted = (await keeper.persisted()) || (ask && keeper.persist ? await keeper.persist() : false);
  setStorage({ persisted });
}
