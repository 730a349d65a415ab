/** Opens the book of this phone, and keeps what is in memory in step with the store, the other tabs and the house. */
import { signal } from '@preact/signals';
import { dayIn, phoneZone } from './clock.ts';
import type { Day, HouseState, Me } from './contract.ts';
import { loadKinds, loadKindsFor } from './kinds-here.ts';
import { link } from './link.ts';
import { forgetStorage, lookAtStorage, onMishap, setStorage } from './safe-keeping.ts';
import { type FarmBase, farmBase, type RootBase, readMark, rootBase, writeMark } from './store/database.ts';
import { EVERYTHING } from './store/rows.ts';
import { listen, stopListening } from './tabs.ts';
import type { Ways } from './trip/request.ts';
import type { Syncing } from './trip/sync.ts';
import { readLastCounts } from './view/last-counts.ts';
import { clearPages, dayOf, entriesShown } from './view/pages.ts';
import { clear, farm, farmOpen, openEntries, outboxOf, refresh, rowsOf } from './view/shelf.ts';

export const house = signal<HouseState | null>(null);
export const me = signal<Me | null>(null);
/** The book of this phone has been read: before that, nothing should be said to be missing. */
export const opened = signal(false);
/** Today on the farm, by the corrected clock and the farm's zone. */
export const today = signal<Day>('1970-01-01');

export const ways: Ways = { fetch: (...asked) => globalThis.fetch(...asked), now: () => Date.now() };

let root: RootBase = rootBase(onMishap);
let offset = 0;
let going: Syncing | null = null;
let clock: ReturnType<typeof setInterval> | undefined;
let again: ReturnType<typeof setTimeout> | undefined;

export const rootOf = (): RootBase => root;
export const syncer = (): Syncing | null => going;
export const setSyncing = (syncing: Syncing): void => {
  going?.stop();
  going = syncing;
};
export const nowCorrected = (): number => ways.now() + offset;
export const zone = (): string => farm.peek()?.zone ?? phoneZone();

const trips = () => import('./trip/trips.ts');

/** What goes to the house, for the farm that is open; null when none is. */
export async function syncing(): Promise<Syncing | null> {
  const base = farmOpen.peek();
  if (!going && base) {
    const { startTrips } = await trips();
    if (!going && base === farmOpen.peek()) startTrips(base);
  }
  return going;
}

const TRY_AGAIN_MS = 30_000;

/**
 * Goes to the house; where this phone has no book yet, only the house knows who it is. What is missing (signal, or the part
 * of the app that goes there) is tried for again; once a trip is made, the trips see to it themselves.
 */
async function goToHouse(): Promise<void> {
  try {
    if (farmOpen.peek()) return void (await syncing())?.go({ greet: true, byHand: false });
    const { firstGreeting } = await trips();
    if (await firstGreeting()) return;
  } catch {
    link.value = { ...link.peek(), state: 'cannot_reach', problem: 'The house cannot be reached.' };
  }
  clearTimeout(again);
  again = setTimeout(goToHouse, TRY_AGAIN_MS);
}

export async function readClock(base: FarmBase): Promise<void> {
  offset = (await base.use((db) => db.get('clock', 'clock')))?.offset ?? 0;
  setToday();
}

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
  if (import.meta.env.PROD)
    void import('../worker/register.ts').then((worker) => worker.registerWorker()).catch(() => {});
  clock ??= setInterval(setToday, 20_000);
  try {
    const id = await root.use((db) => db.get('marks', 'farm'));
    if (id !== undefined) {
      await openFarm(id);
      opened.value = true;
      void goToHouse();
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
  await goToHouse();
  opened.value = true;
}

export async function openFarm(id: string): Promise<void> {
  const base = farmBase(id, onMishap);
  const [known, syncedAt, house, lost] = await Promise.all([
    readMark(base, 'me'),
    readMark(base, 'synced_at'),
    readMark(base, 'house'),
    readMark(base, 'lost'),
    readClock(base),
  ]);
  // The root remembers this farm, and its own store is empty: never to be taken for a fresh phone.
  if (house === undefined) await writeMark(base, 'lost', ways.now());
  setStorage({ lost: house === undefined || lost !== undefined });
  me.value = known ?? null;
  link.value = { state: 'never', lastSyncedAt: syncedAt ?? null };
  farmOpen.value = base;
  // What every screen needs, and nothing more. Which day it is on the farm is in its row; most phones are in its zone.
  const guess = dayIn(phoneZone(), nowCorrected());
  await refresh(rowsOf(new Set([EVERYTHING])), outboxOf, dayOf(guess));
  await loadKindsFor(openEntries.peek().map(({ entry }) => entry.kind)).catch(() => {});
  setToday();
  if (today.peek() !== guess) await refresh(dayOf(today.peek()));
  void afterOpening(base).catch(() => {});
  void syncing().catch(() => {});
}

/** The person has read that something was lost. */
export async function lossRead(): Promise<void> {
  await farmOpen.peek()?.use((db) => db.delete('marks', 'lost'));
  setStorage({ lost: false });
}

/** What can wait until the first screen stands. */
async function afterOpening(base: FarmBase): Promise<void> {
  await Promise.all([lookAtStorage(false), readLastCounts(base, today.peek()), loadKinds().catch(() => {})]);
  if ((await readMark(base, 'pruned_on')) === today.peek()) return;
  const { pruneOutbox, pruneRows } = await import('./store/prune.ts');
  await pruneRows(base, today.peek());
  await pruneOutbox(base, ways.now());
  await writeMark(base, 'pruned_on', today.peek());
}

/** Something has changed in the store: the outbox, and perhaps some tables. */
export async function touched(tables: ReadonlySet<string>): Promise<void> {
  const entries = tables.has('entry') || tables.has(EVERYTHING);
  await refresh(
    outboxOf,
    ...(tables.size > 0 ? [rowsOf(tables)] : []),
    ...(entries ? [entriesShown(today.peek())] : []),
  );
  setToday();
  const base = farmOpen.peek();
  if (entries && base) void readLastCounts(base, today.peek());
}

export async function closeFarm(): Promise<void> {
  going?.stop();
  going = null;
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
  clearTimeout(again);
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
