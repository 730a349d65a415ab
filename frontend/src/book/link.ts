/** How the link to the house is. */
import { computed, signal } from '@preact/signals';
import type { Millis } from './contract.ts';

export type LinkState = 'in_step' | 'sending' | 'cannot_reach' | 'signed_out' | 'other_house' | 'never';

export interface Link {
  state: LinkState;
  lastSyncedAt: Millis | null;
  /** One sentence for the person, where something is wrong. */
  problem?: string;
}

export const link = signal<Link>({ state: 'never', lastSyncedAt: null });

/** The book comes to this phone for the first time: what is not here yet is not missing. */
export const fetching = computed(
  () => link.value.lastSyncedAt === null && ['never', 'sending'].includes(link.value.state),
);
