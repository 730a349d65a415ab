/** How long to wait before trying again. Pure. */
import type { Millis } from '../contract.ts';

const FIRST_MS = 1000;
const LONGEST_MS = 5 * 60_000;

/** Doubling from 1 s to 5 min, any part of it by chance, so that phones do not all come back at once. No limit of tries. */
export const pauseBefore = (attempt: number, random: number): Millis =>
  Math.round(random * Math.min(LONGEST_MS, FIRST_MS * 2 ** Math.min(attempt, 20)));
