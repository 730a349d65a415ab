/** What a page shows of the book: the entries of a day or a subject, the rounds of a day, the birds of a brood. */
import { computed, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import { ASKED, aboutOf } from '../about.ts';
import type { BirdRow, Day, EntryRow, Id, Subject } from '../contract.ts';
import type { FarmBase, Kept } from '../store/database.ts';
import { readEntries, readEntriesOf, readEntriesOn } from '../store/rows.ts';
import { type EntryView, merge, type Rounds, roundsIn, viewOfKept, viewOfRow } from './entry-view.ts';
import type { Question, questionsIn } from './questions.ts';
import {
  birdMap,
  birdsIn,
  broodsRead,
  openEntries,
  type Read,
  refresh,
  saidOfEntries,
  struckPulled,
} from './shelf.ts';

interface Pulled {
  rows: EntryRow[];
  /** The strikes that name them. */
  whys: Map<Id, EntryRow>;
}

interface Shown {
  pulled: Signal<Pulled | null>;
  /** Read from the house by hand; not kept on the phone. */
  older: Signal<EntryRow[]>;
  view: ReadonlySignal<EntryView[] | null>;
  read: (from: FarmBase) => Promise<Read>;
  watched: boolean;
}

const shown = new Map<string, Shown>();
const rounds = new Map<Day, ReadonlySignal<Rounds>>();
const birdLists = new Map<Id, ReadonlySignal<BirdRow[] | null>>();

function show(
  key: string,
  readRows: (from: FarmBase) => Promise<EntryRow[]>,
  isMine: (kept: Kept) => boolean,
): Shown {
  const known = shown.get(key);
  if (known) return known;
  const watch = (watched: boolean) => () => {
    one.watched = watched;
  };
  const one: Shown = {
    watched: false,
    older: signal([]),
    pulled: signal(null, { watched: watch(true), unwatched: watch(false) }),
    view: computed(() => {
      const pulled = one.pulled.value;
      if (!pulled) return null;
      const said = saidOfEntries.value;
      const theirs = [...one.older.value, ...pulled.rows].map((row) => viewOfRow(row, said, pulled.whys));
      const own = openEntries.value.filter(isMine).map((kept) => viewOfKept(kept, said));
      return merge(theirs, own);
    }),
    read: async (from) => {
      const rows = await readRows(from);
      const strikes = rows.flatMap((row) => (row.struck_by === null ? [] : [row.struck_by]));
      const whys = await readEntries(from, strikes);
      return () => {
        one.pulled.value = { rows, whys };
      };
    },
  };
  shown.set(key, one);
  return one;
}

const showDay = (day: Day): Shown =>
  show(
    day,
    (from) => readEntriesOn(from, day),
    ({ entry }) => entry.day === day,
  );

const aboutKept = new WeakMap<Kept, ReadonlySet<Subject>>();

function isAbout(kept: Kept, subject: Subject): boolean {
  let about = aboutKept.get(kept);
  if (!about) {
    about = new Set(aboutOf(kept.entry.body));
    aboutKept.set(kept, about);
  }
  return about.has(subject);
}

const showSubject = (subject: Subject): Shown =>
  show(
    subject,
    (from) => readEntriesOf(from, subject),
    (kept) => isAbout(kept, subject),
  );

function seen({ pulled, read, view }: Shown): ReadonlySignal<EntryView[] | null> {
  if (pulled.peek() === null) void refresh(read);
  return view;
}

/** Entries of a day, newest first, struck ones marked; null while they are being read. */
export const entriesOn = (day: Day): ReadonlySignal<EntryView[] | null> => seen(showDay(day));

/** Entries of a cage, brood, line or bird. */
export const entriesOf = (subject: Subject): ReadonlySignal<EntryView[] | null> => seen(showSubject(subject));

/** Adds entries read from the house to what a subject's page shows. */
export function showOlder(subject: Subject, found: EntryRow[]): void {
  const { older } = showSubject(subject);
  const known = new Map([...older.value, ...found].map((row) => [row.id, row]));
  older.value = [...known.values()];
}

/** What each round of a day found: cage id, then key of the round. Today's is there as soon as the book is open. */
export function roundsOn(day: Day): ReadonlySignal<Rounds> {
  let known = rounds.get(day);
  if (!known) {
    known = computed(() => roundsIn(entriesOn(day).value ?? []));
    rounds.set(day, known);
  }
  return known;
}

// No tap of a round needs it: it comes when it is asked for.
const asking = signal<typeof questionsIn | null>(null);

/** What the owner is asked, newest first; null while it is being read. */
export function questions(): ReadonlySignal<Question[] | null> {
  const asked = seen(
    show(
      ASKED,
      (from) => readEntriesOf(from, ASKED),
      ({ entry, verdict }) =>
        verdict === 'questioned' || entry.kind === 'egg_count' || entry.kind === 'found_right',
    ),
  );
  void import('./questions.ts').then(
    (loaded) => {
      asking.value = loaded.questionsIn;
    },
    () => {},
  );
  return computed(() => asked.value && (asking.value?.(asked.value) ?? null));
}

/** Birds of a brood by number; null while they are being read. */
export function birdsOf(brood: Id): ReadonlySignal<BirdRow[] | null> {
  if (!broodsRead.peek().has(brood)) void refresh(birdsIn(brood));
  let known = birdLists.get(brood);
  if (!known) {
    known = computed(() => {
      if (!broodsRead.value.has(brood)) return null;
      const birds = [...birdMap.value.values()].filter((bird) => bird.brood === brood);
      return birds.sort((a, b) => a.number - b.number);
    });
    birdLists.set(brood, known);
  }
  return known;
}

/** An entry by its id, of those in memory; null for any other. */
export function findEntry(id: Id): EntryView | null {
  const said = saidOfEntries.value;
  const kept = openEntries.value.find((each) => each.id === id);
  if (kept) return viewOfKept(kept, said);
  for (const { pulled } of shown.values()) {
    const row = pulled.value?.rows.find((each) => each.id === id);
    if (row) return viewOfRow(row, said);
  }
  const struck = struckPulled.value.find(({ row }) => row.id === id);
  return struck ? viewOfRow(struck.row, said) : null;
}

/** Reads the entries of today. */
export const dayOf =
  (day: Day) =>
  (from: FarmBase): Promise<Read> =>
    showDay(day).read(from);

/** Reads again the entries that the pages in sight show, and today's; forgets the others. */
export const entriesShown =
  (today: Day) =>
  async (from: FarmBase): Promise<Read> => {
    const kept = [...shown].filter(([key, one]) => one.watched || key === today);
    for (const key of [...shown.keys()])
      if (!kept.some(([known]) => known === key)) {
        shown.delete(key);
        rounds.delete(key);
      }
    const puts = await Promise.all(kept.map(([, one]) => one.read(from)));
    return () => {
      for (const put of puts) put();
    };
  };

export function clearPages(): void {
  shown.clear();
  rounds.clear();
  birdLists.clear();
}
