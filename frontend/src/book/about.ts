/** What an entry is about: the things its body names. Works for kinds this app does not know yet, too. */
import type { Day, Id, Millis, Subject } from './contract.ts';

// An entry of an order or a shipment is about that before it is about the line.
const NAMES = {
  order: 'order',
  shipment: 'shipment',
  cage: 'cage',
  from_cage: 'cage',
  brood: 'brood',
  line: 'line',
  bird: 'bird',
  setting: 'setting',
} as const;

/** Beside those: what the house asks about, to be found among all entries without reading them. */
export const ASKED = 'asked';

export function aboutOf(body: object): Subject[] {
  const about = new Set<Subject>();
  for (const [field, table] of Object.entries(NAMES)) {
    const id = (body as Record<string, unknown>)[field];
    if (typeof id === 'string') about.add(`${table}/${id}`);
  }
  // Light and warmth of a row of cages; of the whole barn where no row is named.
  const { row, light_hours } = body as { row?: string | null; light_hours?: number | null };
  if (light_hours !== undefined && !about.size) about.add(`row/${row ?? ''}`);
  // Birds known by their ids, among a number of birds.
  for (const { bird } of (body as { birds?: { bird: Id }[] }).birds ?? []) about.add(`bird/${bird}`);
  return [...about];
}

/** A key that sorts the entries of a subject by day and stamp. */
export const aboutKey = (subject: string, day: Day, stamp: Millis): string =>
  `${subject} ${day} ${String(stamp).padStart(15, '0')}`;
