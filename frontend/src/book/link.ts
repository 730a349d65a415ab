/** How the link to the house is. */
import { signal } from '@preact/signals';
import type { Millis } from './contract.ts';

export type LinkState = 'in_step' | 'sending' | 'cannot_reach' | 'signed_out' | 'other_house' | 'never';

export interface Link {
  state: LinkState;
  lastSyncedAt: Millis | null;
  /** One sentence for the person, where something is wrong. */
  problem?: string;
}

export const link = signal<Link>({ state: 'never', lastSyncedAt: null });
