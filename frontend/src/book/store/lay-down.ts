/** Lays what a pull brought down in the store: rows and cursor together. */
import { ASKED, aboutKey, aboutOf } from '../about.ts';
import type { ChangesAnswer, EntryRow, Id } from '../contract.ts';
import { type FarmBase, getMark, type KeptEntryRow, type KeptRow } from './database.ts';
import { EVERYTHING } from './rows.ts';

export interface Page {
  /** The cursor that the page was asked with: if another tab has moved it since, the page is not taken. */
  after: number;
  pull: number;
  answer: ChangesAnswer;
}

/** Lays a page of changes down, with its cursor, in one transaction. Returns the tables it touched; null if not taken. */
export async function layDown(farm: FarmBase, { after, pull, answer }: Page): Promise<Set<string> | null> {
  return farm.use(async (db) => {
    const tx = db.transaction(['rows', 'entry_rows', 'marks'], 'readwrite', { durability: 'relaxed' });
    if (((await getMark(tx, 'cursor')) ?? 0) !== after) return null;
    const generation = (await getMark(tx, 'generation')) ?? { now: 0, sweep: false };
    const pulls = (await getMark(tx, 'pulls')) ?? { begun: pull, done: 0 };
    const sweeps = generation.sweep && !answer.more;
    const writes: Promise<unknown>[] = [];
    try {
      const [rows, entryRows] = [tx.objectStore('rows'), tx.objectStore('entry_rows')];
      for (const { table, id, row } of answer.rows) {
        if (table !== 'entry')
          writes.push(row ? rows.put(keptRow(table, id, row, generation.now)) : rows.delete([table, id]));
        else writes.push(row ? entryRows.put(keptEntryRow(id, row, generation.now)) : entryRows.delete(id));
      }
      const marks = tx.objectStore('marks');
      const last = answer.more
        ? []
        : [
            marks.put({ ...pulls, done: Math.max(pulls.done, pull) }, 'pulls'),
            marks.put({ ...generation, sweep: false }, 'generation'),
          ];
      await Promise.all([...writes, marks.put(answer.next, 'cursor'), ...last]);
      if (sweeps)
        for (const store of ['rows', 'entry_rows'] as const)
          for (let at = await tx.objectStore(store).openCursor(); at; at = await at.continue())
            if (at.value.generation < generation.now) await at.delete();
    } catch (error) {
      // One row that cannot be kept keeps the whole page, and the cursor, from being kept.
      for (const write of [...writes, tx.done]) write.catch(() => {});
      try {
        tx.abort();
      } catch {
        // The fault has ended it already.
      }
      throw error;
    }
    await tx.done;
    return new Set([...answer.rows.map((change) => change.table), ...(sweeps ? [EVERYTHING] : [])]);
  });
}

function keptRow(table: string, id: Id, row: KeptRow['row'], generation: number): KeptRow {
  const within = table === 'bird' ? { within: `bird/${row.brood}` } : {};
  return { table, id, row, generation, ...within };
}

function keptEntryRow(id: Id, change: KeptRow['row'], generation: number): KeptEntryRow {
  const row = change as unknown as EntryRow;
  const asked = row.code !== null && row.struck_by === null && row.state === 'stands';
  const named = [...aboutOf(row.body), ...(asked ? [ASKED] : [])];
  const about = named.map((subject) => aboutKey(subject, row.day, row.stamp));
  return { id, day: row.day, about, row, generation };
}

/** Begins a pull: draws its number. */
export const beginPull = (farm: FarmBase): Promise<{ pull: number; cursor: number }> =>
  farm.use(async (db) => {
    const tx = db.transaction('marks', 'readwrite', { durability: 'relaxed' });
    const pulls = (await getMark(tx, 'pulls')) ?? { begun: 0, done: 0 };
    const cursor = (await getMark(tx, 'cursor')) ?? 0;
    await tx.store.put({ ...pulls, begun: pulls.begun + 1 }, 'pulls');
    await tx.done;
    return { pull: pulls.begun + 1, cursor };
  });
