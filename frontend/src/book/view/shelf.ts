/** What of the book is in memory, as signals: the pulled rows and the entries of this phone that are not among them. */
import { batch, computed, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import { aboutOf } from '../about.ts';
import type {
  AsideRow,
  BroodRow,
  CageRow,
  DueRow,
  EntryRow,
  FigureRow,
  Id,
  LineRow,
  PersonRow,
  Subject,
  Tables,
} from '../contract.ts';
import { allKindsHere } from '../kinds-here.ts';
import { compare, insert } from '../order.ts';
import { type FarmBase, type Kept, readMark } from '../store/database.ts';
import { readOpen, readThese } from '../store/outbox.ts';
import { EVERYTHING, readBirds, readEntries, readEntriesOf, readTable } from '../store/rows.ts';
import { type EntryView, remarks, viewOfKept } from './entry-view.ts';
import { type Rows, type StruckRow, standing, struckHere, struckRow } from './standing.ts';

const nothing: Rows = {
  farm: null,
  lines: new Map(),
  cages: new Map(),
  broods: new Map(),
  birds: new Map(),
  settings: new Map(),
  trays: new Map(),
  withdrawals: new Map(),
  store: new Map(),
  orders: new Map(),
  shipments: new Map(),
};

/** The farm whose book is open. */
export const farmOpen = signal<FarmBase | null>(null);

const rows = signal<Rows>(nothing);
const broodsReadNow = signal<ReadonlySet<Id>>(new Set());
const open = signal<readonly Kept[]>([]);
const asideKept = signal<readonly Kept[]>([]);
const pulledIds = signal<ReadonlySet<Id>>(new Set());
const struckRows = signal<readonly StruckRow[]>([]);
const personRows = signal<PersonRow[]>([]);
const dueRows = signal<DueRow[]>([]);
const asideRows = signal<AsideRow[]>([]);
const figureRows = signal<ReadonlyMap<Subject, FigureRow[]>>(new Map());

const stands = computed(() => {
  // Laid over again once the kinds that an egg round does without have come.
  void allKindsHere.value;
  return standing(rows.value, { open: open.value, pulled: pulledIds.value, struck: struckRows.value });
});
// Each by itself, so that a screen is drawn again only when its own table has changed.
const lineMap = computed(() => stands.value.lines);
const cageMap = computed(() => stands.value.cages);
const broodMap = computed(() => stands.value.broods);

/** Rows are often A, B, C or 1, 2, 10. */
const byName = new Intl.Collator(undefined, { numeric: true }).compare;

export const standingNow: ReadonlySignal<Rows> = stands;
/** Of the hatch room; trays of all settings. */
export const settings = computed(() => stands.value.settings);
export const trays = computed(() => stands.value.trays);
export const withdrawals = computed(() => stands.value.withdrawals);
/** Eggs by line and day laid, orders, and what was packed for them. */
export const eggStore = computed(() => stands.value.store);
export const orders = computed(() => stands.value.orders);
export const shipments = computed(() => stands.value.shipments);
export const birdMap = computed(() => stands.value.birds);
export const farm = computed(() => stands.value.farm);
export const lines: ReadonlySignal<LineRow[]> = computed(() =>
  [...lineMap.value.values()].sort((a, b) => byName(a.name, b.name)),
);
/** In walking order: row, place, code. Closed ones too. */
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
/** Entries that the house set aside, those of other phones too (the owner sees them). */
export const asides: ReadonlySignal<AsideRow[]> = asideRows;
export const dues: ReadonlySignal<DueRow[]> = dueRows;
export const figures: ReadonlySignal<ReadonlyMap<Subject, FigureRow[]>> = figureRows;
/** In order of day, stamp and id. */
export const openEntries: ReadonlySignal<readonly Kept[]> = open;
/** This phone's entries that the house took, and set aside after all. */
export const asideAfterAll: ReadonlySignal<readonly Kept[]> = asideKept;
export const struckPulled: ReadonlySignal<readonly StruckRow[]> = struckRows;
export const broodsRead: ReadonlySignal<ReadonlySet<Id>> = broodsReadNow;

export const saidOfEntries = computed(() => remarks(open.value, asideRows.value));
export const viewsOf = (kept: readonly Kept[]): EntryView[] =>
  kept.map((each) => viewOfKept(each, saidOfEntries.value));

/** What has been read, to be put in memory together with all else that was read with it. */
export type Read = () => void;

/**
 * Reads again from the store, and puts everything in memory in one go: an entry must leave the outbox and stand in the
 * rows in the same moment, or its effect is seen twice, or not at all, in between.
 */
export function refresh(...reads: ((from: FarmBase) => Promise<Read>)[]): Promise<void> {
  const run = async (): Promise<void> => {
    const from = farmOpen.peek();
    if (!from) return;
    const found = await Promise.all(reads.map((read) => read(from)));
    if (from !== farmOpen.peek()) return;
    batch(() => {
      for (const put of found) put();
    });
  };
  // One after another: what was read first must not be put over what was read later.
  const done = lastRefresh.then(run);
  lastRefresh = done.catch(() => {});
  return done;
}

let lastRefresh: Promise<void> = Promise.resolve();

type Group = Exclude<keyof Tables, 'entry' | 'bird'>;

const byId = <R extends { id: Id }>(list: R[]): Map<Id, R> => new Map(list.map((row) => [row.id, row]));

/** Reads the tables that a pull touched; birds only of the broods that are in memory. */
export const rowsOf =
  (tables: ReadonlySet<string>) =>
  async (from: FarmBase): Promise<Read> => {
    const all = tables.has(EVERYTHING);
    const wanted = <T extends Group>(table: T) => (all || tables.has(table) ? readTable(from, table) : null);
    const birds = all || tables.has('bird') ? birdsAgain(from) : null;
    const [
      farms,
      persons,
      lineList,
      cageList,
      broodList,
      figureList,
      dueList,
      asideList,
      settingList,
      trayList,
      withdrawalList,
      storeList,
      orderList,
      shipmentList,
      putBirds,
      ...kept
    ] = await Promise.all([
      wanted('farm'),
      wanted('person'),
      wanted('line'),
      wanted('cage'),
      wanted('brood'),
      wanted('figure'),
      wanted('due'),
      wanted('aside'),
      wanted('setting'),
      wanted('tray'),
      wanted('withdrawal'),
      wanted('egg_store'),
      wanted('order'),
      wanted('shipment'),
      birds,
      ...[...watched].map(async ([table, shown]) => {
        const list = await wanted(table);
        return () => {
          if (list) shown.value = list;
        };
      }),
    ]);
    return () => {
      rows.value = {
        ...rows.peek(),
        ...(farms && { farm: farms[0] ?? null }),
        ...(lineList && { lines: byId(lineList) }),
        ...(cageList && { cages: byId(cageList) }),
        ...(broodList && { broods: byId(broodList) }),
        ...(settingList && { settings: byId(settingList) }),
        ...(trayList && { trays: byId(trayList) }),
        ...(withdrawalList && { withdrawals: byId(withdrawalList) }),
        ...(storeList && { store: byId(storeList) }),
        ...(orderList && { orders: byId(orderList) }),
        ...(shipmentList && { shipments: byId(shipmentList) }),
      };
      if (persons) personRows.value = persons;
      if (dueList) dueRows.value = dueList;
      if (asideList) asideRows.value = asideList;
      if (figureList) figureRows.value = bySubject(figureList);
      putBirds?.();
      for (const put of kept) put();
    };
  };

/** Tables that no phone needs before a screen asks for them: read when one does, and again after each pull. */
const watched = new Map<Group, Signal<unknown[]>>();

export function rowsOfTable<T extends Group>(table: T): ReadonlySignal<Tables[T][]> {
  if (!watched.has(table)) {
    watched.set(table, signal([]));
    void refresh(rowsOf(new Set([table])));
  }
  return watched.get(table) as Signal<Tables[T][]>;
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

/** Reads the outbox: another tab wrote, or the house answered. */
export async function outboxOf(from: FarmBase): Promise<Read> {
  const before = new Set(open.peek().map(({ id }) => id));
  const pulls = await readMark(from, 'pulls');
  const kept = (await readOpen(from, pulls?.done ?? 0)).sort((a, b) => compare(a.entry, b.entry));
  const [known, struck, putBirds, aside] = await Promise.all([
    readEntries(
      from,
      kept.map(({ id }) => id),
    ),
    readStruck(from, kept),
    birdsNamed(
      from,
      kept.map(({ entry }) => entry),
    ),
    readAsideAfterAll(from),
  ]);
  return () => {
    putBirds();
    const read = new Set(kept.map(({ id }) => id));
    const since = open.peek().filter(({ id }) => !before.has(id) && !read.has(id));
    // Written while the store was being read: they are in the store, and not in what was read.
    open.value = since.reduce<readonly Kept[]>(
      (list, each) => insert(list, each, ({ entry }) => entry),
      kept,
    );
    asideKept.value = aside;
    pulledIds.value = new Set(known.keys());
    struckRows.value = struck.rows;
    struck.putBirds();
  };
}

async function readAsideAfterAll(from: FarmBase): Promise<Kept[]> {
  const unanswered = (await readTable(from, 'aside')).filter((row) => row.mended_by === null);
  const kept = await readThese(
    from,
    unanswered.map((row) => row.entry),
  );
  return kept.filter((each) => each.state === 'sent' && !each.struck_by && !each.mended_by);
}

/** The pulled entries that strikes of this phone name, and what stood before each. */
async function readStruck(
  from: FarmBase,
  kept: readonly Kept[],
): Promise<{ rows: StruckRow[]; putBirds: Read }> {
  const named = await readEntries(from, [...struckHere(kept)]);
  const unstruck = [...named.values()].filter((row) => row.struck_by === null && row.state === 'stands');
  const before = async (row: EntryRow): Promise<StruckRow> => {
    const [subject] = aboutOf(row.body.bird ? { bird: row.body.bird } : row.body);
    return struckRow(row, subject ? await readEntriesOf(from, subject) : []);
  };
  const [found, putBirds] = await Promise.all([
    Promise.all(unstruck.map(before)),
    birdsNamed(from, unstruck),
  ]);
  return { rows: found, putBirds };
}

/** Puts an entry that has just been written among those in memory, so that the screen shows it at once. */
export async function add(kept: Kept): Promise<void> {
  // A strike or a mending changes what is seen of another entry as well.
  if (kept.entry.kind === 'strike' || kept.entry.mends !== undefined) return refresh(outboxOf);
  const put = () => {
    if (!open.peek().some((each) => each.id === kept.id))
      open.value = insert(open.peek(), kept, (each) => each.entry);
  };
  if (broodsNamed(kept.entry.body).length === 0) return put();
  await refresh(
    (from) => birdsNamed(from, [kept.entry]),
    async () => put,
  );
}

/** Shows entries as the house has marked them, without reading the store again. Those it took stay until they are pulled. */
export function showMarked(kept: readonly Kept[]): void {
  const byId = new Map(kept.map((each) => [each.id, each]));
  open.value = open.peek().map((each) => byId.get(each.id) ?? each);
}

// Birds, a brood at a time: which sex a bird was read as, and its number, are told from the other birds of its brood

/** The broods of the birds that a body names by their ids. */
function broodsNamed(body: object): Id[] {
  const { bird, brood, birds = [] } = body as { bird?: Id; brood?: Id; birds?: { brood?: Id }[] };
  return [...(bird ? [{ brood }] : []), ...birds].flatMap((each) => each.brood ?? brood ?? []);
}

/** Reads the birds of the broods that these entries name, where they are not in memory yet. */
async function birdsNamed(from: FarmBase, entries: readonly { body: object }[]): Promise<Read> {
  const named = entries.flatMap(({ body }) => broodsNamed(body));
  const missing = [...new Set(named)].filter((brood) => !broodsReadNow.peek().has(brood));
  const puts = await Promise.all(missing.map((brood) => birdsIn(brood)(from)));
  return () => {
    for (const put of puts) put();
  };
}

async function birdsAgain(from: FarmBase): Promise<Read> {
  const puts = await Promise.all([...broodsReadNow.peek()].map((brood) => birdsIn(brood)(from)));
  return () => {
    for (const put of puts) put();
  };
}

export const birdsIn =
  (brood: Id) =>
  async (from: FarmBase): Promise<Read> => {
    const birds = await readBirds(from, brood);
    return () => {
      const others = [...rows.peek().birds].filter(([, bird]) => bird.brood !== brood);
      const all = new Map([...others, ...birds.map((bird) => [bird.id, bird] as const)]);
      rows.value = { ...rows.peek(), birds: all };
      broodsReadNow.value = new Set([...broodsReadNow.peek(), brood]);
    };
  };

/** Puts the book away: another farm's is to be opened, or none. */
export function clear(): void {
  batch(() => {
    farmOpen.value = null;
    rows.value = nothing;
    broodsReadNow.value = new Set();
    open.value = [];
    asideKept.value = [];
    pulledIds.value = new Set();
    struckRows.value = [];
    personRows.value = [];
    dueRows.value = [];
    asideRows.value = [];
    figureRows.value = new Map();
    for (const shown of watched.values()) shown.value = [];
  });
}
