/**
 * The phone's databases: a small one that remembers which farm is kept here, and one for each farm.
 *
 * The layout of `outbox` is frozen at version 1 for ever: an update never touches entries that the house does not have.
 * A later version may only add stores beside it.
 */
import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import type { Change, Day, Entry, EntryRow, Id, Me, Millis, VerdictWord } from '../contract.ts';

/** `waiting`: to be sent. `sent`: with the house. `aside`: the person must mend or strike it. `later`: sent again once
 *  the house has been updated. `stuck`: the house fails on it alone. */
export type State = 'waiting' | 'sent' | 'aside' | 'later' | 'stuck';

/** One entry as the outbox keeps it. `entry` is as it was made; the rest says what became of it. */
export interface Kept {
  device_seq: number;
  id: Id;
  entry: Omit<Entry, 'device_seq'>;
  state: State;
  /** Its state, as long as something is still to be done about it. */
  open?: State;
  verdict?: VerdictWord;
  code?: string;
  detail?: string;
  field?: string;
  sent_at?: Millis;
  /** The number of the last pull begun when the house took it: once a later one is done, the rows hold its effect. */
  sent_pull?: number;
  struck_by?: Id;
  mended_by?: Id;
  /** It was with the house before a restore, so the rows kept here hold its effect already. */
  again?: true;
}

export interface KeptRow {
  table: string;
  id: Id;
  row: NonNullable<Change['row']>;
  /** `bird/<brood>` for birds, which are read a brood at a time. */
  within?: string;
  generation: number;
}

export interface KeptEntryRow {
  id: Id;
  day: Day;
  /** A key for each thing it is about: see aboutKey. */
  about: string[];
  row: EntryRow;
  generation: number;
}

/** What the house says of itself. `looked_at`: by its own clock. */
export interface Health {
  looked_at: string;
  findings: { about: string; well: boolean; sentence: string }[];
}

/** What this phone knows of the house and of itself. */
export interface Marks {
  house: Id;
  book: Id;
  /** The house's version when it was last asked. */
  version: string;
  me: Me | null;
  cursor: number;
  pulls: { begun: number; done: number };
  /** Rows are of the generation in which they were pulled; when `sweep` is set, older ones go at the end of the pull. */
  generation: { now: number; sweep: boolean };
  synced_at: Millis;
  /** When this phone was found to have lost what it kept; until the person has read it. */
  lost: Millis;
  pruned_on: Day;
  /** Whether the house was well when an owner last asked it. */
  health: Health;
}

export interface FarmSchema extends DBSchema {
  outbox: { key: number; value: Kept; indexes: { id: Id; open: State; sent_pull: number } };
  clock: { key: 'clock'; value: { offset: number; last: Millis } };
  rows: { key: [string, Id]; value: KeptRow; indexes: { within: string } };
  entry_rows: { key: Id; value: KeptEntryRow; indexes: { day: Day; about: string } };
  marks: { key: keyof Marks; value: Marks[keyof Marks] };
}

export interface FarmOnPhone {
  farm: Id;
  name: string;
  house: Id;
}

export interface RootSchema extends DBSchema {
  farms: { key: Id; value: FarmOnPhone };
  marks: { key: 'farm' | 'csrf' | 'sign_out_owed'; value: string };
}

/** What can befall a database that the person should know of; null when it is over. */
export type Mishap = 'older_tab_open' | 'newer_tab_open';

export interface Base<S extends DBSchema> {
  name: string;
  /** Runs work on the open database. A connection that the browser has dropped is opened once more, and the work run
   *  again: so work must come out the same when it is run twice. */
  use<T>(work: (db: IDBPDatabase<S>) => Promise<T>): Promise<T>;
  close(): void;
}

export type FarmBase = Base<FarmSchema>;
export type RootBase = Base<RootSchema>;

/** Seen on Safari and after a crash of the storage process: jakearchibald/idb issue 229. */
function connectionLost(error: unknown): boolean {
  if (!(error instanceof Error)) return false;
  return error.name === 'InvalidStateError' || /connection.*(lost|clos)/i.test(error.message);
}

/** Exported for its tests: opens on first use. */
export function lazyBase<S extends DBSchema>(
  name: string,
  version: number,
  upgrade: (db: IDBPDatabase<S>) => void,
  onMishap: (mishap: Mishap | null) => void,
): Base<S> {
  let opening: Promise<IDBPDatabase<S>> | null = null;
  let lost = false;
  let blocked = false;

  const open = (): Promise<IDBPDatabase<S>> => {
    opening ??= openDB<S>(name, version, {
      upgrade: (db) => upgrade(db),
      blocked: () => {
        blocked = true;
        onMishap('older_tab_open');
      },
      // A newer app in another tab wants to add a store: stand aside at once, or it waits for ever.
      blocking: (_now, _wanted, event) => {
        (event.target as IDBDatabase).close();
        opening = null;
        onMishap('newer_tab_open');
      },
      terminated: () => {
        opening = null;
        lost = true;
      },
    }).then(
      (db) => {
        if (blocked) onMishap(null);
        blocked = false;
        return db;
      },
      (error: unknown) => {
        opening = null;
        if (error instanceof Error && error.name === 'VersionError') onMishap('newer_tab_open');
        throw error;
      },
    );
    return opening;
  };

  return {
    name,
    async use(work) {
      lost = false;
      try {
        return await work(await open());
      } catch (error) {
        if (!lost && !connectionLost(error)) throw error;
        opening = null;
        return work(await open());
      }
    },
    close() {
      void opening?.then((db) => db.close());
      opening = null;
    },
  };
}

const quiet = (): void => {};

export const rootBase = (onMishap: (mishap: Mishap | null) => void = quiet): RootBase =>
  lazyBase<RootSchema>(
    'barnbook',
    1,
    (db) => {
      db.createObjectStore('farms', { keyPath: 'farm' });
      db.createObjectStore('marks');
    },
    onMishap,
  );

export const farmBase = (farm: Id, onMishap: (mishap: Mishap | null) => void = quiet): FarmBase =>
  lazyBase<FarmSchema>(
    `barnbook-${farm}`,
    1,
    (db) => {
      const outbox = db.createObjectStore('outbox', { keyPath: 'device_seq', autoIncrement: true });
      outbox.createIndex('id', 'id', { unique: true });
      outbox.createIndex('open', 'open');
      outbox.createIndex('sent_pull', 'sent_pull');
      db.createObjectStore('clock');
      const rows = db.createObjectStore('rows', { keyPath: ['table', 'id'] });
      rows.createIndex('within', 'within');
      const entryRows = db.createObjectStore('entry_rows', { keyPath: 'id' });
      entryRows.createIndex('day', 'day');
      entryRows.createIndex('about', 'about', { multiEntry: true });
      db.createObjectStore('marks');
    },
    onMishap,
  );

export async function getMark<M extends keyof Marks>(
  tx: { objectStore(name: 'marks'): { get(mark: keyof Marks): Promise<unknown> } },
  mark: M,
): Promise<Marks[M] | undefined> {
  return (await tx.objectStore('marks').get(mark)) as Marks[M] | undefined;
}

export const readMark = <M extends keyof Marks>(farm: FarmBase, mark: M): Promise<Marks[M] | undefined> =>
  farm.use(async (db) => (await db.get('marks', mark)) as Marks[M] | undefined);

export const writeMark = <M extends keyof Marks>(farm: FarmBase, mark: M, value: Marks[M]): Promise<void> =>
  farm.use(async (db) => {
    await db.put('marks', value, mark);
  });
