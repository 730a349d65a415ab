/** The order of everything: by day, stamp, id. */
import type { Day, Id, Millis } from './contract.ts';

export interface Ordered {
  id: Id;
  day: Day;
  stamp: Millis;
}

export function compare(a: Ordered, b: Ordered): number {
  if (a.day !== b.day) return a.day < b.day ? -1 : 1;
  if (a.stamp !== b.stamp) return a.stamp - b.stamp;
  return a.id < b.id ? -1 : a.id > b.id ? 1 : 0;
}

/** The same list with one more in its place. Most come last, so the search starts there. */
export function insert<T>(list: readonly T[], item: T, by: (item: T) => Ordered): T[] {
  let at = list.length;
  while (at > 0 && compare(by(list[at - 1] as T), by(item)) > 0) at--;
  return [...list.slice(0, at), item, ...list.slice(at)];
}
