/** How an entry names what it is about, in the words of the farm. */
import type { Day, Id } from '../contract.ts';

export interface Names {
  cage: (id: Id) => string;
  brood: (id: Id) => string;
  line: (id: Id) => string;
  bird: (id: Id) => string;
  order: (id: Id) => string;
  shipment: (id: Id) => string;
  round: (key: string) => string;
  /** Another entry, in its own plain words. */
  entry: (id: Id) => string;
}

/** A day as the device writes days, with its year. */
export const onDay = (day: Day): string =>
  new Date(`${day}T00:00Z`).toLocaleDateString(undefined, {
    day: 'numeric',
    month: 'short',
    year: 'numeric',
    timeZone: 'UTC',
  });

export const plural = (n: number, one: string, many = `${one}s`): string => `${n} ${n === 1 ? one : many}`;

/** "2 hens and 1 cock"; "no birds". */
export function headsInWords({
  hens,
  cocks,
  unsexed,
}: {
  hens: number;
  cocks: number;
  unsexed: number;
}): string {
  const parts = [
    hens && plural(hens, 'hen'),
    cocks && plural(cocks, 'cock'),
    unsexed && `${unsexed} unsexed`,
  ].filter((part) => part !== 0);
  if (parts.length === 0) return 'no birds';
  return parts.length === 1 ? String(parts[0]) : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;
}

/** ": drips" or nothing. */
export const after = (words: string): string => (words === '' ? '' : `: ${words}`);
