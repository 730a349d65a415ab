/**
 * No double tap (ruling 13): after a count the pad takes nothing until every finger has lifted and 350 ms have passed.
 * A press that began while the pad was shut counts for nothing, however long it is held: the finger must come up and down again.
 */
export interface PressGuard {
  down(pointer: number): void;
  up(pointer: number): void;
  /** Asks whether the press that just ended may count; if so, shuts the pad. */
  take(): boolean;
}

export const WAIT_MS = 350;

export function pressGuard(wait_ms = WAIT_MS, now: () => number = () => performance.now()): PressGuard {
  const fingers = new Set<number>();
  let shutUntil = Number.NEGATIVE_INFINITY;
  let began: 'none' | 'free' | 'shut' = 'none';
  const free = () => now() >= shutUntil && fingers.size === 0;
  return {
    down(pointer) {
      // A second finger beside one that is down neither counts nor spoils the first.
      if (fingers.size === 0) began = free() ? 'free' : 'shut';
      fingers.add(pointer);
    },
    up(pointer) {
      fingers.delete(pointer);
    },
    take() {
      // A key on a keyboard, or a screen reader's press, has no finger: then only the clock and other fingers are asked.
      const may = began === 'none' ? free() : began === 'free' && now() >= shutUntil;
      began = 'none';
      if (may) shutUntil = now() + wait_ms;
      return may;
    },
  };
}
