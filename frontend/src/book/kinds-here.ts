/** Whether all kinds have been loaded: those of the egg round are here from the start. */
import { signal } from '@preact/signals';
import { kindOf, learn } from './kinds/index.ts';

export const allKindsHere = signal(false);

let loading: Promise<void> | null = null;

export function loadKinds(): Promise<void> {
  loading ??= import('./kinds/off-round.ts').then(
    ({ OFF_ROUND }) => {
      learn(OFF_ROUND);
      allKindsHere.value = true;
    },
    (error: unknown) => {
      // Asked for again the next time.
      loading = null;
      throw error;
    },
  );
  return loading;
}

/** Loads the other kinds if one of these is among them. */
export async function loadKindsFor(names: readonly string[]): Promise<void> {
  if (!allKindsHere.peek() && names.some((name) => !kindOf(name))) await loadKinds();
}
