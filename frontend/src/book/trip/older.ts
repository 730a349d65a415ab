/** Entries from before the last 90 days, read from the house when a page asks for them, and not kept. */
import { daysBefore } from '../clock.ts';
import type { EntryRow, Subject } from '../contract.ts';
import { today, ways } from '../opening.ts';
import { CannotReach } from '../refused.ts';
import { PULLED_KEPT_DAYS } from '../store/prune.ts';
import { showOlder } from '../view/pages.ts';
import { ask } from './request.ts';

interface Page {
  rows: EntryRow[];
  /** Where the next page begins; null at the end. */
  next: number | null;
}

const reached = new Map<Subject, { before: string; after: number | null }>();

/** Reads older entries of a subject from the house; false when there are no more. Rejects with `CannotReach`. */
export async function loadOlder(subject: Subject): Promise<boolean> {
  const at = reached.get(subject) ?? { before: daysBefore(today.peek(), PULLED_KEPT_DAYS - 1), after: 0 };
  if (at.after === null) return false;
  const path = `/api/entries?subject=${encodeURIComponent(subject)}&before=${at.before}&after=${at.after}`;
  const { said } = await ask<Page>(ways, path, { anyShape: true });
  if (!Array.isArray(said.rows)) throw new CannotReach('What came back does not answer what was asked.');
  reached.set(subject, { ...at, after: said.next });
  showOlder(subject, said.rows);
  return said.next !== null;
}
