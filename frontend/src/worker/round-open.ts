/** While a round is open, in any tab, no new version of the app is taken. */
import { signal } from '@preact/signals';

/** A new version of the app waits for the person to take it. */
export const update = signal(false);

export const ROUND_LOCK = 'barnbook-round-open';

let letGo: (() => void) | null = null;

/** In this tab; the lock tells of the others. */
export const isRoundOpen = (): boolean => letGo !== null;

/** While a round is open, in this tab or another, no new version is taken. */
export function holdUpdates(held: boolean): void {
  if (!held) {
    letGo?.();
    letGo = null;
    return;
  }
  if (letGo) return;
  letGo = () => {};
  if (typeof navigator === 'undefined' || !navigator.locks) return;
  void navigator.locks.request(ROUND_LOCK, { mode: 'shared' }, () => {
    // Let go of while the lock was being asked for.
    if (!letGo) return undefined;
    return new Promise<void>((resolve) => {
      letGo = resolve;
    });
  });
}
