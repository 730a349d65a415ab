import type { ASKED } from '../about.ts';
import type { Day, EntryRow, Id, Subject, Table, Tables } from '../contract.ts';
import type { FarmBase } from './database.ts';

/** Among the tables that a pull touched: rows were taken away from any of them. */
export const EVERYTHING = '*';

const END = '\uffff';

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

const AT_ONCE = 200;

/** Every bird that lives and wears a band, of all broods, a few hundred at a time: taps go between. */
export async function readBanded(farm: FarmBase): Promise<Tables['bird'][]> {
  const found: Tables['bird'][] = [];
  for (let after: IDBValidKey = ['bird'], more = true; more; ) {
    const range = IDBKeyRange.bound(after, ['bird', END], true);
    const kept = await farm.use((db) => db.getAll('rows', range, AT_ONCE));
    for (const { row } of kept) {
      const bird = row as unknown as Tables['bird'];
      if (bird.band !== null && bird.gone === null) found.push(bird);
    }
    const last = kept.at(-1);
    more = kept.length === AT_ONCE && last !== undefined;
    if (last) after = [last.table, last.id];
  }
  return found;
}

export const readEntriesOn = async (farm: FarmBase, day: Day): Promise<EntryRow[]> =>
  (await farm.use((db) => db.getAllFromIndex('entry_rows', 'day', day))).map((kept) => kept.row);

export const readEntriesSince = async (farm: FarmBase, day: Day): Promise<EntryRow[]> =>
  (await farm.use((db) => db.getAllFromIndex('entry_rows', 'day', IDBKeyRange.lowerBound(day)))).map(
    (kept) => kept.row,
  );

export const readEntriesOf = async (farm: FarmBase, subject: Subject | typeof ASKED): Promise<EntryRow[]> =>
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
