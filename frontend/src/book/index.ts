/**
 * The book as a screen sees it: what stands (pulled rows with this phone's own unsent entries over them), the outbox,
 * how the link to the house is, and what a person can do. Screens import from here only.
 */
import { type ReadonlySignal, signal } from '@preact/signals';
import type {
  AsideRow,
  BeginProgress,
  BirdRow,
  Bodies,
  BroodRow,
  CageRow,
  Day,
  DueRow,
  Entry,
  FarmRow,
  FigureRow,
  HouseState,
  Id,
  Kind,
  LineRow,
  Me,
  Millis,
  PersonRow,
  Subject,
} from './contract.ts';

export type * from './contract.ts';

/** Where an entry is: on this phone alone (`waiting`, `later`, `stuck`), with the house (`sent`, `book`), in the house
 *  until what it names has come (`waits`), or kept by the house but counting for nothing (`aside`). */
export type Place = 'waiting' | 'later' | 'stuck' | 'sent' | 'book' | 'waits' | 'aside';

/** An entry as a page shows it, struck or not. */
export interface EntryView<K extends Kind = Kind> {
  id: Id;
  author: Id;
  kind: K;
  version: number;
  day: Day;
  stamp: Millis;
  zone: string;
  body: Bodies[K];
  mends: Id | null;
  place: Place;
  /** The strike that names it, if any. It stays readable, struck through, and counts for nothing. */
  struck: { by: Id; why: string } | null;
  /** Why it is aside, later, stuck or waits; or what the owner is asked (`questioned`). */
  reason: { code: string; detail: string; field: string | null } | null;
  /** The entry that was written in its place. */
  mendedBy: Id | null;
}

/** What one round found in one cage on one day. */
export interface RoundInCage {
  /** Unstruck counts; more than one is a clash. */
  counts: EntryView<'egg_count'>[];
  passed: EntryView<'cage_passed'> | null;
  /** The count, or null when there is none or two that clash. */
  eggs: number | null;
  clash: boolean;
}

export interface Outbox {
  /** Entries the house does not have yet. */
  waiting: number;
  /** Entries that need the person: aside or stuck. */
  refused: number;
  /** Stamp of the oldest waiting entry. */
  oldest: Millis | null;
  /** Refused ones first, then the waiting, newest first. */
  entries: EntryView[];
}

export type LinkState = 'in_step' | 'sending' | 'cannot_reach' | 'signed_out' | 'other_house' | 'never';

export interface Link {
  state: LinkState;
  lastSyncedAt: Millis | null;
  /** One sentence for the person, where something is wrong. */
  problem?: string;
}

export interface Storage {
  /** The browser promised to keep the book; null when it cannot be asked. */
  persisted: boolean | null;
  /** The last write did not fit. */
  full: boolean;
}

/** A bad field, said in one sentence: the same codes as the house's. */
export interface Refusal {
  code: string;
  field: string | null;
  detail: string;
}

const empty = <T>(value: T): ReadonlySignal<T> => signal(value);

export const house = empty<HouseState | null>(null);
export const me = empty<Me | null>(null);
export const farm = empty<FarmRow | null>(null);
export const lines = empty<LineRow[]>([]);
/** In walking order: row, place, code. Closed ones too. */
export const cages = empty<CageRow[]>([]);
export const broods = empty<BroodRow[]>([]);
export const dues = empty<DueRow[]>([]);
export const figures = empty<ReadonlyMap<Subject, FigureRow[]>>(new Map());
export const people = empty<PersonRow[]>([]);
/** Entries of other phones too that the house set aside (the owner sees them). */
export const asides = empty<AsideRow[]>([]);
export const outbox = empty<Outbox>({ waiting: 0, refused: 0, oldest: null, entries: [] });
export const link = empty<Link>({ state: 'never', lastSyncedAt: null });
export const storage = empty<Storage>({ persisted: null, full: false });
/** A new version of the app waits; `acceptUpdate()` takes it. */
export const update = empty(false);
/** The book of this phone has been read: before that, nothing is known and nothing should be said to be missing. */
export const opened = empty(false);
/** Today on the farm, by the corrected clock and the farm's zone; moves at midnight. */
export const today = empty<Day>('1970-01-01');

const later = (): never => {
  throw new Error('Not written yet.');
};

/** Birds of a brood by number; null while they are being read. */
export const birdsOf = (_brood: Id): ReadonlySignal<BirdRow[] | null> => later();
/** Entries of a day, or of a cage, brood, line or bird: pulled and unsent, newest first; null while being read. */
export const entriesOn = (_day: Day): ReadonlySignal<EntryView[] | null> => later();
export const entriesOf = (_subject: Subject): ReadonlySignal<EntryView[] | null> => later();
/** What each round of a day found: cage id, then key of the round. Today's is there as soon as the book is open. */
export const roundsOn = (_day: Day): ReadonlySignal<ReadonlyMap<Id, ReadonlyMap<string, RoundInCage>>> =>
  later();

/** Opens the book of this phone, then asks the house. Resolves when the book can be shown; never waits on the network
 *  unless this phone has no book yet. */
export const openBook = async (): Promise<void> => {};
/** Resolves only when the entry is durable on this phone. Rejects with a `Refused` or a `NotSaved`, both with a sentence. */
export const write = async <K extends Kind>(
  _kind: K,
  _body: Bodies[K],
  _options?: { day?: Day },
): Promise<Entry<K>> => later();
export const strike = async (_entry: Id, _why: string): Promise<Entry<'strike'>> => later();
/** Strikes the entry as a slip of the thumb. */
export const undo = (entry: Id): Promise<Entry<'strike'>> => strike(entry, 'undone at once');
/** Writes a new entry in the place of one that was set aside. */
export const mend = async <K extends Kind>(
  _old: Id,
  _kind: K,
  _body: Bodies[K],
  _options?: { day?: Day },
): Promise<Entry<K>> => later();
/** A new UUIDv7 for a cage, line, brood or bird. */
export const newId = (): Id => later();
/** What is implausible about this body, in a sentence to ask once more; null when nothing is. At once, no waiting. */
export const doubt = <K extends Kind>(_kind: K, _body: Bodies[K], _options?: { day?: Day }): string | null =>
  later();
/** What is wrong with this body; null when it may be written. */
export const refusal = <K extends Kind>(_kind: K, _body: Bodies[K]): Refusal | null => later();
/** "Cage A3: 5 eggs, 1 cracked, morning round". */
export const inWords = (_entry: EntryView): string => later();
export const syncNow = async (): Promise<void> => later();
/** Everything unsent, as a JSON file for the house. */
export const saveOutbox = async (): Promise<File> => later();
/** These reject with a `Refused` (wrong password, bad field) or a `CannotReach`. */
export const signIn = async (_who: { name: string; password: string; deviceName: string }): Promise<void> =>
  later();
export const signOut = async (): Promise<void> => later();
export interface Beginning {
  token: string;
  choice: 'empty' | 'example';
  farmName?: string;
  zone?: string;
  name?: string;
  password?: string;
  deviceName: string;
}
/** Makes the farm and signs in; for the example farm `onProgress` is told how far it is. */
export const begin = async (_how: Beginning, _onProgress?: (p: BeginProgress) => void): Promise<void> =>
  later();
/** Reads older entries of a subject from the house; false when there are no more. */
export const loadOlder = async (_subject: Subject): Promise<boolean> => later();
/** Takes the new version and reloads, unless updates are held. */
export const acceptUpdate = (): void => {};
/** No new version is taken while a round is open. */
export const holdUpdates = (_held: boolean): void => {};
