/** Entries from before the last 90 days, read from the house when a page asks for them, and not kept. */

import { daysBefore } from './clock.ts';
import type { Day, EntryRow, Subject } from './contract.ts';
import { today, ways } from './opening.ts';
import { ask, CannotReach } from './request.ts';
import { KEPT_DAYS } from './rows.ts';
import { showOlder } from './shelf.ts';

interface Page {
  rows: EntryRow[];
  more: boolean;
}

const reached = new Map<Subject, Day>();

/** Reads older entries of a subject from the house; false when there are no more. Rejects with `CannotReach`. */
export async function loadOlder(subject: Subject): Promise<boolean> {
  const before = reached.get(subject) ?? daysBefore(today.peek(), KEPT_DAYS - 1);
  const path = `/api/entries?subject=${encodeURIComponent(subject)}&before=${before}`;
  const { said } = await ask<Page>(ways, path, { anyShape: true });
  if (!Array.isArray(said.rows)) throw new CannotReach('What came back does not answer what was asked.');
  const [oldest = before] = said.rows.map((row) => row.day).sort();
  reached.set(subject, oldest);
  showOlder(subject, said.rows);
  return said.more && oldest < before;
}
