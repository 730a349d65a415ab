/** Whether the house is well, and the back-ups of its book: asked of the house by owners. */
import { ways } from '../opening.ts';
import { type Health, readMark, writeMark } from '../store/database.ts';
import { farmOpen } from '../view/shelf.ts';
import { unsafely } from './customers.ts';
import { ask } from './request.ts';

export type { Health };

export interface BackUp {
  name: string;
  made_at: string;
  /** `aside`: the book that a restore took the place of. */
  reason: 'night' | 'hand' | 'upgrade' | 'aside';
  bytes: number;
}

export interface BackUps {
  folder: string;
  /** They lie on the disk of the book itself. */
  own_disk: boolean;
  /** Why the last try failed; empty where it did not. */
  failed: string;
  rows: BackUp[];
  making: { state: 'none' | 'working' | 'ready' | 'failed'; done: number; steps: number; why: string };
  may_make: boolean;
}

/** Asks the house to look, and keeps what it says for a time without signal. Rejects as `ask`. */
export async function lookAtHouse(): Promise<Health> {
  const farm = farmOpen.peek();
  const { said } = await ask<Health>(ways, '/api/health', { anyShape: true });
  if (farm) await writeMark(farm, 'health', said);
  return said;
}

/** What the house said of itself when it was last asked; null when it never was. */
export async function lastLook(): Promise<Health | null> {
  const farm = farmOpen.peek();
  return (farm && (await readMark(farm, 'health'))) ?? null;
}

/** Rejects as `ask`. */
export const backUps = async (): Promise<BackUps> =>
  (await ask<BackUps>(ways, '/api/back-ups', { anyShape: true })).said;

/** Has one made; `backUps` tells how far it is. Rejects as `unsafely`. */
export const backUpNow = (): Promise<BackUps> => unsafely('POST', '/api/back-ups');
