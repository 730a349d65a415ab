/** Rows pulled from the house. Those of tables that this app does not know are kept too, as they came. */
import { aboutKey, aboutOf } from './about.ts';
import { daysBefore } from './clock.ts';
import type { ChangesAnswer, Day, EntryRow, Id, Subject, Table, Tables } from './contract.ts';
import { type FarmBase, getMark, type KeptEntryRow, type KeptRow } from './database.ts';

export const KEPT_DAYS = 90;
const END = '\uffff';

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

/** Among the tables that a pull touched: rows were taken away from any of them. */
export const EVERYTHING = '*';

function keptRow(table: string, id: Id, row: KeptRow['row'], generation: number): KeptRow {
  const within = table === 'bird' ? { within: `bird/${row.brood}` } : {};
  return { table, id, row, generation, ...within };
}

function keptEntryRow(id: Id, change: KeptRow['row'], generation: number): KeptEntryRow {
  const row = change as unknown as EntryRow;
  const about = aboutOf(row.body).map((subject) => aboutKey(subject, row.day, row.stamp));
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

export async function readTable<T extends Exclude<Table, 'entry'>>(
  farm: FarmBase,
  table: T,
): Promise<Tables[T][]> {
  const kept = await farm.use((db) => db.getAll('rows', IDBKeyRange.bound([table], [table, END])));
  return kept.map((each) => each.row as unknown as Tables[T]);
}

export async function readBirds(farm: FarmBase, brood: Id): Promise<Tables['bird'][]> {
  const kept = await farm.use((db) => db.getAllFromIndex('rows', 'within', `bird/${brood}`));
  return kept.map((each) => each.row as unknown as Tables['bird']);
}

export const readEntriesOn = async (farm: FarmBase, day: Day): Promise<EntryRow[]> =>
  (await farm.use((db) => db.getAllFromIndex('entry_rows', 'day', day))).map((kept) => kept.row);

export const readEntriesOf = async (farm: FarmBase, subject: Subject): Promise<EntryRow[]> =>
  (
    await farm.use((db) =>
      db.getAllFromIndex('entry_rows', 'about', IDBKeyRange.bound(`${subject} `, `${subject} ${END}`)),
    )
  ).map((kept) => kept.row);

export const readEntries = async (farm: FarmBase, ids: readonly Id[]): Promise<Map<Id, EntryRow>> => {
  if (ids.length === 0) return new Map();
  const found = await farm.use((db) => {
    const store = db.transaction('entry_rows').store;
    return Promise.all(ids.map((id) => store.get(id)));
  });
  return new Map(found.flatMap((kept) => (kept ? [[kept.id, kept.row] as const] : [])));
};

/** The newest entries of a subject that satisfy `wanted`, newest first, until `enough`. */
export const newestOf = (
  farm: FarmBase,
  subject: Subject,
  { wanted, enough }: { wanted: (row: EntryRow) => boolean; enough: (found: EntryRow[]) => boolean },
): Promise<EntryRow[]> =>
  farm.use(async (db) => {
    const found: EntryRow[] = [];
    const range = IDBKeyRange.bound(`${subject} `, `${subject} ${END}`);
    const index = db.transaction('entry_rows').store.index('about');
    for (let at = await index.openCursor(range, 'prev'); at && !enough(found); at = await at.continue())
      if (wanted(at.value.row)) found.push(at.value.row);
    return found;
  });

/** Forgets pulled entries of more than 90 days ago; they are read from the house when asked for. */
export async function prune(farm: FarmBase, today: Day, days = KEPT_DAYS): Promise<void> {
  await farm.use(async (db) => {
    const tx = db.transaction('entry_rows', 'readwrite', { durability: 'relaxed' });
    const old = IDBKeyRange.upperBound(daysBefore(today, days), true);
    const ids = await tx.store.index('day').getAllKeys(old);
    await Promise.all([...ids.map((id) => tx.store.delete(id)), tx.done]);
  });
}
