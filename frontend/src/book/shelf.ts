/** What of the book is in memory, as signals: the pulled rows and the entries of this phone that are not among them. */
import { batch, computed, type ReadonlySignal, signal } from '@preact/signals';
import { aboutOf } from './about.ts';
import type {
  AsideRow,
  BirdRow,
  Bodies,
  BroodRow,
  CageRow,
  Day,
  DueRow,
  EntryRow,
  FigureRow,
  Id,
  LineRow,
  PersonRow,
  Subject,
} from './contract.ts';
import type { FarmBase, Kept } from './database.ts';
import { type EntryView, merge, remarks, roundsIn, viewOfKept, viewOfRow } from './entry-view.ts';
import { compare, insert } from './order.ts';
import { readOpen } from './outbox.ts';
import { EVERYTHING, readBirds, readEntries, readEntriesOf, readEntriesOn, readTable } from './rows.ts';
import { type Rows, type StruckRow, standing, struckHere, struckRow } from './standing.ts';

const nothing: Rows = {
  farm: null,
  lines: new Map(),
  cages: new Map(),
  broods: new Map(),
  birds: new Map(),
};

/** The farm whose book is open. */
export const farmOpen = signal<FarmBase | null>(null);

const rows = signal<Rows>(nothing);
const broodsRead = signal<ReadonlySet<Id>>(new Set());
const open = signal<readonly Kept[]>([]);
const pulledIds = signal<ReadonlySet<Id>>(new Set());
const struckRows = signal<readonly StruckRow[]>([]);
const personRows = signal<PersonRow[]>([]);
const dueRows = signal<DueRow[]>([]);
const asideRows = signal<AsideRow[]>([]);
const figureRows = signal<ReadonlyMap<Subject, FigureRow[]>>(new Map());

const stands = computed(() =>
  standing(rows.value, { open: open.value, pulled: pulledIds.value, struck: struckRows.value }),
);
const lineMap = computed(() => stands.value.lines);
const cageMap = computed(() => stands.value.cages);
const broodMap = computed(() => stands.value.broods);
const birdMap = computed(() => stands.value.birds);

/** Rows are often A, B, C or 1, 2, 10. */
const byName = new Intl.Collator(undefined, { numeric: true }).compare;

export const farm = computed(() => stands.value.farm);
export const lines: ReadonlySignal<LineRow[]> = computed(() =>
  [...lineMap.value.values()].sort((a, b) => byName(a.name, b.name)),
);
export const cages: ReadonlySignal<CageRow[]> = computed(() =>
  [...cageMap.value.values()].sort(
    (a, b) => byName(a.row, b.row) || a.place - b.place || byName(a.code, b.code),
  ),
);
/** Youngest first. */
export const broods: ReadonlySignal<BroodRow[]> = computed(() =>
  [...broodMap.value.values()].sort(
    (a, b) => b.hatched_on.localeCompare(a.hatched_on) || byName(a.code, b.code),
  ),
);
export const people: ReadonlySignal<PersonRow[]> = personRows;
export const asides: ReadonlySignal<AsideRow[]> = asideRows;
export const dues: ReadonlySignal<DueRow[]> = dueRows;
export const figures: ReadonlySignal<ReadonlyMap<Subject, FigureRow[]>> = figureRows;
export const openEntries: ReadonlySignal<readonly Kept[]> = open;
export const standingNow: ReadonlySignal<Rows> = stands;

const saidOfEntries = computed(() => remarks(open.value, asideRows.value));

// Entries of a day or of a subject

interface Pulled {
  rows: EntryRow[];
  whys: Map<Id, EntryRow>;
}

interface Shown {
  pulled: ReturnType<typeof signal<Pulled | null>>;
  /** Read from the house by hand; not kept on the phone. */
  older: ReturnType<typeof signal<EntryRow[]>>;
  view: ReadonlySignal<EntryView[] | null>;
  read: () => Promise<void>;
  watched: boolean;
}

const shown = new Map<string, Shown>();

function show(
  key: string,
  readRows: (farm: FarmBase) => Promise<EntryRow[]>,
  mine: (kept: Kept) => boolean,
): Shown {
  const known = shown.get(key);
  if (known) return known;
  const one: Shown = {
    watched: false,
    older: signal<EntryRow[]>([]),
    pulled: signal<Pulled | null>(null, {
      watched: () => {
        one.watched = true;
      },
      unwatched: () => {
        one.watched = false;
      },
    }),
    view: computed(() => {
      const pulled = one.pulled.value;
      if (!pulled) return null;
      const said = saidOfEntries.value;
      const theirs = [...(one.older.value ?? []), ...pulled.rows].map((row) =>
        viewOfRow(row, said, pulled.whys),
      );
      const own = open.value.filter(mine).map((kept) => viewOfKept(kept, said));
      return merge(theirs, own);
    }),
    read: async () => {
      const from = farmOpen.value;
      if (!from) return;
      const found = await readRows(from);
      const strikes = found.flatMap((row) => (row.struck_by === null ? [] : [row.struck_by]));
      one.pulled.value = { rows: found, whys: await readEntries(from, strikes) };
    },
  };
  shown.set(key, one);
  void one.read();
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

/** Entries of a day, newest first, struck ones marked; null while they are being read. */
export const entriesOn = (day: Day): ReadonlySignal<EntryView[] | null> => showDay(day).view;

/** Entries of a cage, brood, line or bird. */
export const entriesOf = (subject: Subject): ReadonlySignal<EntryView[] | null> => showSubject(subject).view;

/** Adds entries read from the house to what a subject's page shows. */
export function showOlder(subject: Subject, found: EntryRow[]): void {
  const { older } = showSubject(subject);
  const byId = new Map([...(older.value ?? []), ...found].map((row) => [row.id, row]));
  older.value = [...byId.values()];
}

const rounds = new Map<Day, ReadonlySignal<ReturnType<typeof roundsIn>>>();

/** What each round of a day found: cage id, then key of the round. */
export function roundsOn(day: Day): ReadonlySignal<ReturnType<typeof roundsIn>> {
  let known = rounds.get(day);
  if (!known) {
    known = computed(() => roundsIn(entriesOn(day).value ?? []));
    rounds.set(day, known);
  }
  return known;
}

/** Any entry whose words may be asked for: those in memory. */
export function findEntry(id: Id): EntryView | null {
  const said = saidOfEntries.value;
  const kept = open.value.find((each) => each.id === id);
  if (kept) return viewOfKept(kept, said);
  for (const { pulled } of shown.values()) {
    const row = pulled.value?.rows.find((each) => each.id === id);
    if (row) return viewOfRow(row, said);
  }
  return (
    struckRows.value.filter(({ row }) => row.id === id).map(({ row }) => viewOfRow(row, said))[0] ?? null
  );
}

export const viewsOf = (kept: readonly Kept[]): EntryView[] =>
  kept.map((each) => viewOfKept(each, saidOfEntries.value));

// Birds, a brood at a time

/** Birds of a brood by number; null while they are being read. */
export function birdsOf(brood: Id): ReadonlySignal<BirdRow[] | null> {
  if (!broodsRead.peek().has(brood)) void readBrood(brood);
  let known = birdLists.get(brood);
  if (!known) {
    known = computed(() =>
      broodsRead.value.has(brood)
        ? [...birdMap.value.values()]
            .filter((bird) => bird.brood === brood)
            .sort((a, b) => a.number - b.number)
        : null,
    );
    birdLists.set(brood, known);
  }
  return known;
}

const birdLists = new Map<Id, ReadonlySignal<BirdRow[] | null>>();

/** Which sex a bird was read as, and its number, are told from the other birds of its brood: they must be here first. */
export async function readBrood(brood: Id, again = false): Promise<void> {
  const from = farmOpen.value;
  if (!from || (broodsRead.peek().has(brood) && !again)) return;
  const birds = await readBirds(from, brood);
  batch(() => {
    const kept = [...rows.peek().birds].filter(([, bird]) => bird.brood !== brood);
    rows.value = {
      ...rows.peek(),
      birds: new Map([...kept, ...birds.map((bird) => [bird.id, bird] as const)]),
    };
    broodsRead.value = new Set([...broodsRead.peek(), brood]);
  });
}

const broodIn = (body: object): Id | null => (body as { brood?: Id | null }).brood ?? null;

const broodsNamed = (entries: readonly { kind: string; body: object }[]): Id[] => [
  ...new Set(entries.flatMap(({ kind, body }) => (kind.startsWith('bird_') ? (broodIn(body) ?? []) : []))),
];

// Reading from the store

type Group = 'farm' | 'person' | 'line' | 'cage' | 'brood' | 'figure' | 'due' | 'aside';

const byId = <R extends { id: Id }>(list: R[]): Map<Id, R> => new Map(list.map((row) => [row.id, row]));

/** Opens the book of a farm: reads what every screen needs, and nothing more. */
export async function takeDown(from: FarmBase, today: Day): Promise<void> {
  clear();
  farmOpen.value = from;
  await Promise.all([readRows(new Set([EVERYTHING])), readOutbox(), showDay(today).read()]);
}

/** Puts the book away: another farm's is to be opened, or none. */
export function clear(): void {
  batch(() => {
    farmOpen.value = null;
    rows.value = nothing;
    broodsRead.value = new Set();
    open.value = [];
    pulledIds.value = new Set();
    struckRows.value = [];
    personRows.value = [];
    dueRows.value = [];
    asideRows.value = [];
    figureRows.value = new Map();
    shown.clear();
    rounds.clear();
    birdLists.clear();
  });
}

/** Reads again the tables that a pull touched. */
export async function readRows(tables: ReadonlySet<string>): Promise<void> {
  const from = farmOpen.value;
  if (!from) return;
  const all = tables.has(EVERYTHING);
  const wanted = <T extends Group>(table: T) => (all || tables.has(table) ? readTable(from, table) : null);
  const [farms, persons, lineList, cageList, broodList, figureList, dueList, asideList] = await Promise.all([
    wanted('farm'),
    wanted('person'),
    wanted('line'),
    wanted('cage'),
    wanted('brood'),
    wanted('figure'),
    wanted('due'),
    wanted('aside'),
  ]);
  if (all || tables.has('bird'))
    await Promise.all([...broodsRead.peek()].map((brood) => readBrood(brood, true)));
  if (from !== farmOpen.value) return;
  batch(() => {
    rows.value = {
      ...rows.peek(),
      ...(farms && { farm: farms[0] ?? null }),
      ...(lineList && { lines: byId(lineList) }),
      ...(cageList && { cages: byId(cageList) }),
      ...(broodList && { broods: byId(broodList) }),
    };
    if (persons) personRows.value = persons;
    if (dueList) dueRows.value = dueList;
    if (asideList) asideRows.value = asideList;
    if (figureList) figureRows.value = bySubject(figureList);
  });
}

function bySubject(list: FigureRow[]): Map<Subject, FigureRow[]> {
  const subjects = new Map<Subject, FigureRow[]>();
  for (const row of list) {
    const known = subjects.get(row.subject);
    if (known) known.push(row);
    else subjects.set(row.subject, [row]);
  }
  return subjects;
}

/** Reads again the entries that the pages in sight show; forgets the others. */
export async function readEntriesShown(today: Day): Promise<void> {
  const again: Promise<void>[] = [];
  for (const [key, one] of shown)
    if (one.watched || key === today) again.push(one.read());
    else shown.delete(key);
  await Promise.all(again);
  for (const day of rounds.keys()) if (!shown.has(day)) rounds.delete(day);
}

/** Reads the outbox again: another tab wrote, or the house answered. */
export async function readOutbox(): Promise<void> {
  const from = farmOpen.value;
  if (!from) return;
  const pulls = (await from.use((db) => db.get('marks', 'pulls'))) as { done: number } | undefined;
  const kept = (await readOpen(from, pulls?.done ?? 0)).sort((a, b) => compare(a.entry, b.entry));
  const [known, struck] = await Promise.all([
    readEntries(
      from,
      kept.map(({ id }) => id),
    ),
    readStruck(from, kept),
    Promise.all(broodsNamed(kept.map(({ entry }) => entry)).map((brood) => readBrood(brood))),
  ]);
  if (from !== farmOpen.value) return;
  batch(() => {
    open.value = kept;
    pulledIds.value = new Set(known.keys());
    struckRows.value = struck;
  });
}

/** The pulled entries that strikes of this phone name, and what stood before each. */
async function readStruck(from: FarmBase, kept: readonly Kept[]): Promise<StruckRow[]> {
  const named = await readEntries(from, [...struckHere(kept)]);
  const unstruck = [...named.values()].filter((row) => row.struck_by === null && row.state === 'stands');
  await Promise.all(broodsNamed(unstruck).map((brood) => readBrood(brood)));
  return Promise.all(
    unstruck.map(async (row) => {
      const [subject] = aboutOf(row.kind.startsWith('bird_') ? { bird: row.body.bird } : row.body);
      return struckRow(row, subject ? await readEntriesOf(from, subject) : []);
    }),
  );
}

/** Puts an entry that has just been written among those in memory, so that the screen shows it at once. */
export async function add(kept: Kept): Promise<void> {
  const from = farmOpen.value;
  if (!from) return;
  await Promise.all(broodsNamed([kept.entry]).map((brood) => readBrood(brood)));
  const settles = kept.entry.mends ?? (kept.entry.body as Partial<Bodies['strike']>).entry;
  if (settles !== undefined) {
    await readOutbox();
    return;
  }
  if (!open.value.some((each) => each.id === kept.id))
    open.value = insert(open.value, kept, (each) => each.entry);
}
