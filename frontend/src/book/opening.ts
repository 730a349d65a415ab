/** Opens the book of this phone, and keeps what is in memory in step with the store, the other tabs and the house. */
import { signal } from '@preact/signals';
import { askToBeWoken, registerWorker } from '../worker/register.ts';
import { dayIn, phoneZone } from './clock.ts';
import type { Day, HouseState, Me } from './contract.ts';
import { type FarmBase, farmBase, type RootBase, readMark, rootBase, writeMark } from './database.ts';
import { askHouse, freshTrouble, meet } from './errand.ts';
import { readLastCounts } from './last-counts.ts';
import { prune as pruneOutbox } from './outbox.ts';
import { clearPages, dayOf, entriesShown } from './pages.ts';
import { CannotReach, type Ways } from './request.ts';
import { noteMe } from './round-trip.ts';
import { EVERYTHING, prune as pruneRows } from './rows.ts';
import { forgetStorage, lookAtStorage, onMishap, setStorage } from './safe-keeping.ts';
import { clear, farm, farmOpen, openEntries, outboxOf, refresh, rowsOf } from './shelf.ts';
import { link, type Syncing, startSyncing } from './sync.ts';
import { listen, stopListening, tell } from './tabs.ts';

export const house = signal<HouseState | null>(null);
export const me = signal<Me | null>(null);
/** The book of this phone has been read: before that, nothing should be said to be missing. */
export const opened = signal(false);
/** Today on the farm, by the corrected clock and the farm's zone. */
export const today = signal<Day>('1970-01-01');

export const ways: Ways = { fetch: (...asked) => globalThis.fetch(...asked), now: () => Date.now() };

let root: RootBase = rootBase(onMishap);
let offset = 0;
let syncing: Syncing | null = null;
let clock: ReturnType<typeof setInterval> | undefined;

export const rootOf = (): RootBase => root;
export const syncer = (): Syncing | null => syncing;
export const nowCorrected = (): number => ways.now() + offset;
export const zone = (): string => farm.peek()?.zone ?? phoneZone();

export const setToday = (): void => {
  const day = dayIn(zone(), nowCorrected());
  if (day !== today.peek()) today.value = day;
};

/**
 * Opens the book of this phone, then asks the house. Resolves when the book can be shown; waits on the network only when
 * this phone has no book yet.
 */
export async function openBook(): Promise<void> {
  listen(hearTab);
  void registerWorker();
  clock ??= setInterval(setToday, 20_000);
  try {
    const id = await root.use((db) => db.get('marks', 'farm'));
    if (id !== undefined) {
      await openFarm(id);
      opened.value = true;
      void syncing?.go({ greet: true, byHand: false });
      return;
    }
  } catch (error) {
    // Whatever is wrong with the store must be said: an empty book would look like a loss.
    const said = error instanceof Error ? error.message : String(error);
    setStorage({
      problem: `This phone's book could not be opened (${said}). Close other tabs of Barnbook and reload.`,
    });
    return;
  }
  await firstGreeting();
  opened.value = true;
}

/** A phone without a book: only the house knows who it is. */
async function firstGreeting(): Promise<void> {
  try {
    const said = await askHouse(ways, root);
    house.value = said;
    if (said.me) await adopt(said, said.me);
  } catch (error) {
    if (!(error instanceof Error)) throw error;
    const problem = error instanceof CannotReach ? error.message : `The house answered: ${error.message}`;
    link.value = { ...link.peek(), state: 'cannot_reach', problem };
  }
}

async function openFarm(id: string): Promise<void> {
  const base = farmBase(id, onMishap);
  const [known, syncedAt, time] = await Promise.all([
    readMark(base, 'me'),
    readMark(base, 'synced_at'),
    base.use((db) => db.get('clock', 'clock')),
  ]);
  offset = time?.offset ?? 0;
  me.value = known ?? null;
  link.value = { state: 'never', lastSyncedAt: syncedAt ?? null };
  farmOpen.value = base;
  // What every screen needs, and nothing more.
  await refresh(rowsOf(new Set([EVERYTHING])), outboxOf);
  setToday();
  await refresh(dayOf(today.peek()));
  startTrips(base);
  void afterOpening(base);
}

/** What can wait until the first screen stands. */
async function afterOpening(base: FarmBase): Promise<void> {
  await Promise.all([lookAtStorage(false), readLastCounts(base)]);
  if ((await readMark(base, 'pruned_on')) === today.peek()) return;
  await pruneRows(base, today.peek());
  await pruneOutbox(base, ways.now());
  await writeMark(base, 'pruned_on', today.peek());
}

function startTrips(base: FarmBase): void {
  syncing?.stop();
  const errand = { ...ways, farm: base, root, app: __APP_VERSION__, trouble: freshTrouble() };
  syncing = startSyncing(errand, {
    waiting: () => openEntries.peek().filter((kept) => kept.state === 'waiting').length,
    house: (said) => {
      house.value = said;
      // Signed out at the house is not signed out here: who kept the book goes on writing in it.
      if (said.me) me.value = said.me;
    },
    refresh: touched,
    over: async ({ state }) => {
      if (state === 'cannot_reach' && openEntries.peek().length > 0) void askToBeWoken();
      offset = (await base.use((db) => db.get('clock', 'clock')))?.offset ?? 0;
      setToday();
    },
  });
}

/** Something has changed in the store: the outbox, and perhaps some tables. */
async function touched(tables: ReadonlySet<string>): Promise<void> {
  const entries = tables.has('entry') || tables.has(EVERYTHING);
  await refresh(
    outboxOf,
    ...(tables.size > 0 ? [rowsOf(tables)] : []),
    ...(entries ? [entriesShown(today.peek())] : []),
  );
  setToday();
  const base = farmOpen.peek();
  if (entries && base) void readLastCounts(base);
}

/** Takes the book of whoever has signed in: another farm's stays in its own store, with its outbox. */
export async function adopt(said: HouseState, who: Me): Promise<void> {
  house.value = said;
  const { farm: theirs } = who;
  await root.use(async (db) => {
    const tx = db.transaction(['farms', 'marks'], 'readwrite', { durability: 'strict' });
    await Promise.all([
      tx.objectStore('farms').put({ farm: theirs.id, name: theirs.name, house: said.house }),
      tx.objectStore('marks').put(theirs.id, 'farm'),
      tx.done,
    ]);
  });
  const base = farmBase(theirs.id, onMishap);
  const meeting = await meet(base, said);
  await noteMe({ farm: base }, who);
  base.close();
  await closeFarm();
  await openFarm(theirs.id);
  tell({ what: 'people' });
  if (meeting !== 'other_house') void syncing?.go({ greet: false, byHand: false });
}

export async function closeFarm(): Promise<void> {
  syncing?.stop();
  syncing = null;
  farmOpen.peek()?.close();
  clear();
  clearPages();
}

/** Another tab wrote, was answered, or somebody signed in or out there. */
async function hearTab(word: Parameters<Parameters<typeof listen>[0]>[0]): Promise<void> {
  if (word.what === 'people') {
    const id = await root.use((db) => db.get('marks', 'farm'));
    await closeFarm();
    if (id !== undefined) await openFarm(id);
    return;
  }
  if (word.farm !== farmOpen.peek()?.name) return;
  if (word.what === 'changed') await touched(new Set(word.tables));
  if (word.what === 'trip') {
    const syncedAt = await readMark(farmOpen.peek() as FarmBase, 'synced_at');
    if (syncedAt !== undefined) link.value = { ...link.peek(), lastSyncedAt: syncedAt };
  }
}

/** For tests: forgets everything in memory, as closing the page does. */
export async function closeBook(): Promise<void> {
  stopListening();
  clearInterval(clock);
  clock = undefined;
  await closeFarm();
  root.close();
  root = rootBase(onMishap);
  offset = 0;
  house.value = null;
  me.value = null;
  opened.value = false;
  link.value = { state: 'never', lastSyncedAt: null };
  forgetStorage();
}
