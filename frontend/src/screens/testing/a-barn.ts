/**
 * An invented barn to test screens in: it has the face of the book (the types hold it to that) and keeps everything in memory.
 * In a test: `vi.mock('../../book/index.ts', () => import('../testing/a-barn.ts'))`, then `freshBarn()` before each.
 */
import { computed, type ReadonlySignal, signal } from '@preact/signals';
import type * as Book from '../../book/index.ts';
import type {
  BirdRow,
  Bodies,
  BroodRow,
  CageRow,
  Day,
  DueRow,
  Entry,
  EntryView,
  FarmRow,
  FigureRow,
  HouseState,
  Id,
  Kind,
  LineRow,
  Link,
  Me,
  Outbox,
  RoundInCage,
  Subject,
} from '../../book/index.ts';
import type { Barn } from '../../book/kinds/barn.ts';
import * as birdDecided from '../../book/kinds/bird-decided.ts';
import * as birdsBanded from '../../book/kinds/birds-banded.ts';
import * as birdsPlaced from '../../book/kinds/birds-placed.ts';
import * as birdsSold from '../../book/kinds/birds-sold.ts';
import * as broodHatched from '../../book/kinds/brood-hatched.ts';
import * as candled from '../../book/kinds/candled.ts';
import * as chicksSeen from '../../book/kinds/chicks-seen.ts';
import * as eggsOut from '../../book/kinds/eggs-out.ts';
import * as eggsSet from '../../book/kinds/eggs-set.ts';
import * as hatched from '../../book/kinds/hatched.ts';
import type { OneKind } from '../../book/kinds/kind.ts';
import * as lockdown from '../../book/kinds/lockdown.ts';
import * as orderTaken from '../../book/kinds/order-taken.ts';
import * as orderWithdrawn from '../../book/kinds/order-withdrawn.ts';
import * as packed from '../../book/kinds/packed.ts';
import * as processed from '../../book/kinds/processed.ts';
import * as promised from '../../book/kinds/promised.ts';
import * as sent from '../../book/kinds/sent.ts';
import * as sexGuessed from '../../book/kinds/sex-guessed.ts';
import * as storeSeen from '../../book/kinds/store-seen.ts';
import * as treated from '../../book/kinds/treated.ts';
import { UNKNOWN_BIRD } from '../../book/testing/rows.ts';
import { questionsIn } from '../../book/view/questions.ts';
import { NOW, TODAY, theBroods, theCages, theDues, theFigures, theLines } from './rows.ts';

export { brood, line } from './rows.ts';

export const house = signal<HouseState | null>(null);
export const me = signal<Me | null>(null);
export const farm = signal<FarmRow | null>(null);
export const lines = signal<LineRow[]>([]);
export const cages = signal<CageRow[]>([]);
export const broods = signal<BroodRow[]>([]);
export const birds = signal<BirdRow[]>([]);
export const settings = signal<ReadonlyMap<Id, Book.SettingRow>>(new Map());
export const trays = signal<ReadonlyMap<Id, Book.TrayRow>>(new Map());
export const withdrawals = signal<ReadonlyMap<Id, Book.WithdrawalRow>>(new Map());
export const eggStore = signal<ReadonlyMap<string, Book.EggStoreRow>>(new Map());
export const orders = signal<ReadonlyMap<Id, Book.OrderRow>>(new Map());
export const shipments = signal<ReadonlyMap<Id, Book.ShipmentRow>>(new Map());
/** Rows that only a screen asks for, by their tables. */
export const tables = signal<{ [T in keyof Book.Tables]?: Book.Tables[T][] }>({});
export const rowsOfTable: typeof Book.rowsOfTable = (table) =>
  computed(() => tables.value[table] ?? []) as never;
export const birdsRead = computed(() => new Map(birds.value.map((bird) => [bird.id, bird])));
export const dues = signal<DueRow[]>([]);
export const figures = signal<ReadonlyMap<Subject, FigureRow[]>>(new Map());
export const people = signal<Book.PersonRow[]>([]);
export const asides = signal<Book.AsideRow[]>([]);
export const entries = signal<EntryView[]>([]);
export const link = signal<Link>({ state: 'in_step', lastSyncedAt: NOW });
export const fetching = computed(() => link.value.lastSyncedAt === null && link.value.state === 'sending');
export const storage = signal<Book.Storage>({ persisted: true, full: false });
export const update = signal(false);
export const opened = signal(true);
export const today = signal<Day>(TODAY);
/** How long a write takes to be durable; a test may hold it open. */
export const durable = { wait: (): Promise<void> => Promise.resolve() };
/** What the next doubt says, when a test wants one. */
export const doubts = { say: null as string | null };

const waiting = (e: EntryView) =>
  e.place === 'waiting' || e.place === 'later' || e.place === 'stuck' || e.place === 'aside';
export const outbox = computed<Outbox>(() => {
  const unsent = entries.value.filter(waiting);
  const refused = unsent.filter((e) => e.place === 'aside' || e.place === 'stuck');
  const rest = unsent.filter((e) => !refused.includes(e));
  return {
    waiting: rest.length,
    refused: refused.length,
    oldest: rest.at(-1)?.stamp ?? null,
    entries: [...refused, ...rest],
  };
});

let made = 0;
export const newId = (): Id => `0197c2a0-0000-7000-8000-${String(++made).padStart(12, '0')}`;

export function write<K extends Kind>(kind: K, body: Bodies[K], options?: { day?: Day }): Promise<Entry<K>> {
  return put(kind, body, options?.day, null);
}

async function put<K extends Kind>(
  kind: K,
  body: Bodies[K],
  day: Day | undefined,
  mends: Id | null,
): Promise<Entry<K>> {
  await durable.wait();
  const base = {
    id: newId(),
    author: me.value?.person ?? 'nobody',
    kind,
    version: 1,
    day: day ?? today.value,
    stamp: NOW + made,
    zone: 'Europe/Berlin',
    body,
  };
  const view: EntryView<K> = { ...base, mends, place: 'waiting', struck: null, reason: null, mendedBy: null };
  entries.value = [view as EntryView, ...entries.value].map((e) =>
    kind === 'strike' && e.id === (body as Bodies['strike']).entry
      ? { ...e, struck: { by: base.author, why: (body as Bodies['strike']).why } }
      : e.id === mends
        ? { ...e, mendedBy: base.id, place: 'book' }
        : e,
  );
  if (kind === 'bird_sexed') sexed(body as Bodies['bird_sexed']);
  if (kind === 'bird_weight') weighed(body as Bodies['bird_weight']);
  if (OVER[kind]) lay(OVER[kind], { day: base.day, body });
  return { ...base, device_seq: made, ...(mends === null ? {} : { mends }) };
}

/** The kinds of the hatch room and after it, laid over the rows as the book lays them. */
const OVER: Partial<Record<Kind, OneKind>> = {
  eggs_set: eggsSet,
  candled,
  lockdown,
  hatched,
  brood_hatched: broodHatched,
  chicks_seen: chicksSeen,
  birds_banded: birdsBanded,
  sex_guessed: sexGuessed,
  bird_decided: birdDecided,
  processed,
  birds_sold: birdsSold,
  birds_placed: birdsPlaced,
  treated,
  store_seen: storeSeen,
  eggs_out: eggsOut,
  order_taken: orderTaken,
  promised,
  order_withdrawn: orderWithdrawn,
  packed,
  sent,
};

function lay(kind: OneKind, entry: { day: Day; body: unknown }): void {
  const byId = <R extends { id: Id }>(list: R[]) => new Map(list.map((row) => [row.id, row]));
  const barn: Barn = {
    farm: farm.value,
    lines: byId(lines.value),
    cages: byId(cages.value),
    broods: byId(broods.value),
    birds: byId(birds.value),
    settings: new Map(settings.value),
    trays: new Map(trays.value),
    withdrawals: new Map(withdrawals.value),
    store: new Map(eggStore.value),
    orders: new Map(orders.value),
    shipments: new Map(shipments.value),
  };
  kind.stands?.(barn, entry);
  [cages.value, broods.value, birds.value] = [barn.cages, barn.broods, barn.birds].map((m) => [
    ...m.values(),
  ]) as [CageRow[], BroodRow[], BirdRow[]];
  settings.value = barn.settings;
  trays.value = barn.trays;
  withdrawals.value = barn.withdrawals;
  eggStore.value = barn.store;
  orders.value = barn.orders;
  shipments.value = barn.shipments;
}

function sexed(body: Bodies['bird_sexed']): void {
  note(body, { sex: body.result, looked_on: today.value });
}

function weighed(body: Bodies['bird_weight']): void {
  note(body, { last_weight_g: body.grams, weighed_on: today.value });
}

function note(body: { bird: Id; brood: Id; band: string | null }, change: Partial<BirdRow>): void {
  const known = birds.value.find((b) => b.id === body.bird);
  const number = birds.value.filter((b) => b.brood === body.brood).length + 1;
  const row: BirdRow = {
    ...(known ?? { ...UNKNOWN_BIRD, id: body.bird, brood: body.brood, number }),
    ...change,
    band: body.band ?? known?.band ?? null,
  };
  birds.value = known ? birds.value.map((b) => (b.id === row.id ? row : b)) : [...birds.value, row];
}

export const strike = (entry: Id, why: string) => write('strike', { entry, why });
export const undo = (entry: Id) => strike(entry, 'undone at once');
export const mend = <K extends Kind>(old: Id, kind: K, body: Bodies[K], options?: { day?: Day }) =>
  put(kind, body, options?.day, old);
export const doubt = (): string | null => doubts.say;
export const refusal = (): Book.Refusal | null => null;
export const inWords = (entry: Pick<EntryView, 'kind' | 'body'>): string => {
  const cage = cages.value.find((c) => c.id === (entry.body as { cage?: Id }).cage);
  if (entry.kind === 'egg_count')
    return `Cage ${cage?.code}: ${(entry.body as Bodies['egg_count']).eggs} eggs`;
  return `${cage ? `Cage ${cage.code}: ` : ''}${entry.kind.replaceAll('_', ' ')}`;
};

export const birdsOf = (brood: Id): ReadonlySignal<BirdRow[] | null> =>
  computed(() => birds.value.filter((b) => b.brood === brood).sort((a, b) => a.number - b.number));
export const bandsWorn = async () => new Map<string, BirdRow[]>();
export const entriesOn = (day: Day) => computed(() => entries.value.filter((e) => e.day === day));
export const entriesOf = (subject: Subject) =>
  computed(() => {
    const [table = '', id] = subject.split('/');
    return entries.value.filter((e) => (e.body as unknown as Record<string, unknown>)[table] === id);
  });
export const questions = () => computed(() => questionsIn(entries.value));
export const roundsOn = (day: Day) =>
  computed<ReadonlyMap<Id, ReadonlyMap<string, RoundInCage>>>(() => {
    const found = new Map<Id, Map<string, RoundInCage>>();
    for (const e of entries.value) {
      if (e.day !== day || e.struck || (e.kind !== 'egg_count' && e.kind !== 'cage_passed')) continue;
      const body = e.body as Bodies['egg_count'];
      const rounds = found.get(body.cage) ?? new Map<string, RoundInCage>();
      found.set(body.cage, rounds);
      const there = rounds.get(body.round) ?? { counts: [], passed: null, eggs: null, clash: false };
      if (e.kind === 'cage_passed') there.passed = e as EntryView<'cage_passed'>;
      else there.counts = [...there.counts, e as EntryView<'egg_count'>];
      there.clash = there.counts.length > 1;
      there.eggs = there.counts.length === 1 ? (there.counts[0]?.body.eggs ?? null) : null;
      rounds.set(body.round, there);
    }
    return found;
  });

export const isOf = <K extends Kind>(entry: EntryView, kind: K): entry is EntryView<K> => entry.kind === kind;
export const lossRead = async (): Promise<void> => {
  storage.value = { ...storage.value, lost: false };
};
export const openBook = async (): Promise<void> => {};
export const syncNow = async (): Promise<void> => {};
export const saveOutbox = async (): Promise<File> => new File(['{}'], 'barnbook-outbox.json');
/** What the house would answer; a test puts its own here. */
export const answers = {
  signIn: async (_who: { name: string; password: string; deviceName: string }): Promise<void> => {},
  begin: async (_how: Book.Beginning, _onProgress?: (p: Book.BeginProgress) => void): Promise<void> => {},
  whyNotBegin: null as string | null,
  otherFarms: [] as Awaited<ReturnType<typeof Book.otherFarms>>,
  loadOlder: async (_subject: Subject): Promise<boolean> => false,
};
export const signIn: typeof Book.signIn = (who) => answers.signIn(who);
export const signOut = async (): Promise<void> => {};
export const begin: typeof Book.begin = (how, onProgress) => answers.begin(how, onProgress);
export const whyNotBegin: typeof Book.whyNotBegin = async () => answers.whyNotBegin;
export const otherFarms: typeof Book.otherFarms = async () => answers.otherFarms;
export const loadOlder: typeof Book.loadOlder = (subject) => answers.loadOlder(subject);
export const parentsOf: typeof Book.parentsOf = async () => [];
export const acceptUpdate = (): void => {};
export const holdUpdates = (): void => {};

/** The barn as it stands on the morning of TODAY, before anything is written. */
export function freshBarn(): void {
  made = 0;
  durable.wait = () => Promise.resolve();
  doubts.say = null;
  const the_farm = { id: 'farm-1', name: 'Otterbach', example: true };
  me.value = {
    person: 'person-1',
    name: 'Marit',
    role: 'owner',
    device: 'device-1',
    device_seq: 0,
    farm: the_farm,
  };
  house.value = {
    protocol: 1,
    house: 'house-1',
    book: 'book-1',
    house_time: NOW,
    version: '0.1.0',
    claimed: true,
    csrf: '',
    me: me.value,
  };
  farm.value = {
    ...the_farm,
    zone: 'Europe/Berlin',
    weight_unit: 'g',
    rounds: [
      { key: 'morning', name: 'Morning', after_lay: false },
      { key: 'evening', name: 'Evening', after_lay: true },
    ],
  };
  people.value = [
    { id: 'person-1', name: 'Marit', role: 'owner', active: true },
    { id: 'person-2', name: 'Jon', role: 'helper', active: true },
  ];
  lines.value = theLines();
  cages.value = theCages();
  broods.value = theBroods();
  birds.value = [];
  settings.value = new Map();
  trays.value = new Map();
  withdrawals.value = new Map();
  eggStore.value = new Map();
  orders.value = new Map();
  shipments.value = new Map();
  tables.value = {};
  dues.value = theDues();
  figures.value = theFigures(cages.value);
  asides.value = [];
  entries.value = [];
  link.value = { state: 'in_step', lastSyncedAt: NOW };
  storage.value = { persisted: true, full: false };
  update.value = false;
  opened.value = true;
  today.value = TODAY;
}

// The types hold this to the book's own face: a name that it does not have, or another shape, does not compile.
({
  house,
  me,
  farm,
  lines,
  cages,
  broods,
  dues,
  figures,
  people,
  asides,
  outbox,
  link,
  fetching,
  storage,
  update,
  opened,
  today,
  birdsOf,
  birdsRead,
  bandsWorn,
  settings,
  trays,
  withdrawals,
  eggStore,
  orders,
  shipments,
  rowsOfTable,
  entriesOn,
  isOf,
  entriesOf,
  roundsOn,
  questions,
  openBook,
  lossRead,
  write,
  strike,
  undo,
  mend,
  newId,
  doubt,
  refusal,
  inWords,
  syncNow,
  saveOutbox,
  signIn,
  signOut,
  begin,
  whyNotBegin,
  loadOlder,
  otherFarms,
  parentsOf,
  acceptUpdate,
  holdUpdates,
}) satisfies Partial<typeof Book>;
