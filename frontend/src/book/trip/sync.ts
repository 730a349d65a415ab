/** When to go to the house: on opening, online, on return to the screen, after a write, after a pause, and by hand. */

import type { HouseState, Millis } from '../contract.ts';
import { link } from '../link.ts';
import type { Kept } from '../store/database.ts';
import { alone, tell } from '../tabs.ts';
import { pauseBefore } from './backoff.ts';
import type { Errand, Told } from './errand.ts';
import { type Outcome, roundTrip, type Trip } from './round-trip.ts';

/** After a write the next is often a second away: they go together. */
const AFTER_WRITE_MS = 1500;
/** Figures are computed at the house some seconds after entries have come, so they are asked for again. */
const FIGURES_AFTER_MS = [3_000, 6_000, 12_000, 30_000];
const SHOW_EVERY_MS = 1000;
/** Nothing is left to timers and events alone: while the screen is on, it looks now and then. */
const WATCH_MS = 60_000;

export interface Syncing {
  /** Goes now; resolves when the trip is over, however it went. */
  go(trip: Trip): Promise<void>;
  /** Goes soon. */
  soon(): void;
  stop(): void;
}

export interface Hears {
  /** How many entries wait, as far as this tab knows. */
  waiting(): number;
  house(said: HouseState): Promise<void> | void;
  /** What this phone kept is not here any more. */
  lost(): void;
  /** Something was written while the house cannot be reached. */
  held(): void;
  /** These entries have been marked. */
  marked(kept: Kept[]): void;
  /** The outbox has changed in the store, and these tables. */
  refresh(tables: ReadonlySet<string>): Promise<void>;
  over(outcome: Outcome): Promise<void> | void;
}

export function startSyncing(errand: Omit<Errand, 'told'>, hears: Hears): Syncing {
  const farm = errand.farm.name;
  const timers = new Set<ReturnType<typeof setTimeout>>();
  let pause: ReturnType<typeof setTimeout> | undefined;
  let attempts = 0;
  /** The house has asked to be left alone, and that time is not over. */
  let quiet = false;
  let running: Promise<void> | null = null;
  let next: Trip | null = null;
  let stopped = false;
  let delivered = false;
  let touched = new Set<string>();

  const told = (what: Told): void => {
    if (what.what === 'house') void hears.house(what.said);
    if (what.what === 'lost') hears.lost();
    if (what.what === 'pulled') {
      for (const table of what.tables) touched.add(table);
      // A phone's first pull is long and its screens are empty: they fill as the rows come.
      if (link.peek().lastSyncedAt === null) void hears.refresh(touched);
    }
    if (what.what === 'marked') {
      delivered = true;
      marked.push(...what.kept);
      showSoon();
    }
  };

  /** Many batches go in a second: this tab and the others follow now and then, and at the end. */
  let marked: Kept[] = [];
  let shownAt = 0;
  let showing: ReturnType<typeof setTimeout> | undefined;
  const show = (): void => {
    clearTimeout(showing);
    showing = undefined;
    if (marked.length === 0) return;
    hears.marked(marked);
    marked = [];
    shownAt = errand.now();
    tell({ what: 'changed', farm, tables: [] });
  };
  const showSoon = (): void => {
    const rest = shownAt + SHOW_EVERY_MS - errand.now();
    if (rest <= 0 || rest > SHOW_EVERY_MS) show();
    else showing ??= setTimeout(show, rest);
  };

  const later = (after: Millis, trip: Trip): ReturnType<typeof setTimeout> => {
    const timer = setTimeout(() => {
      timers.delete(timer);
      if (timer === pause) quiet = false;
      void go(trip);
    }, after);
    timers.add(timer);
    return timer;
  };

  const trip = async (how: Trip): Promise<void> => {
    clearTimeout(pause);
    const first = link.peek().lastSyncedAt === null;
    if (how.byHand || first || hears.waiting() > 0) link.value = { ...link.peek(), state: 'sending' };
    delivered = false;
    shownAt = 0;
    touched = new Set();
    const outcome = await alone(`barnbook-trip-${farm}`, () => roundTrip({ ...errand, told }, how)).catch(
      (error: unknown): Outcome => ({
        state: 'cannot_reach',
        problem: `This phone could not read its own book: ${error instanceof Error ? error.message : error}.`,
        again: 'pause',
      }),
    );
    if (stopped) return;
    show();
    try {
      if (touched.size > 0 || delivered) {
        await hears.refresh(touched);
        tell({ what: 'changed', farm, tables: [...touched] });
      }
    } finally {
      settle(outcome); // and its pause, whatever became of the view
    }
    await hears.over(outcome);
    tell({ what: 'trip', farm });
  };

  const settle = ({ state, problem, again }: Outcome): void => {
    attempts = again === 'pause' ? attempts + 1 : 0;
    quiet = typeof again === 'object';
    if (again === 'pause')
      pause = later(pauseBefore(attempts - 1, Math.random()), { greet: false, byHand: false });
    else if (typeof again === 'object') pause = later(again.after, { greet: false, byHand: false });
    if (state === 'in_step' && delivered)
      for (const after of FIGURES_AFTER_MS) later(after, { greet: false, byHand: false });
    const lastSyncedAt = state === 'in_step' ? errand.now() : link.peek().lastSyncedAt;
    link.value = { state, lastSyncedAt, ...(problem !== undefined && { problem }) };
  };

  /** One trip at a time; what is asked for meanwhile goes as one more afterwards. */
  const go = (how: Trip): Promise<void> => {
    if (stopped || (quiet && !how.byHand)) return Promise.resolve();
    if (running) {
      next = { greet: how.greet || (next?.greet ?? false), byHand: how.byHand || (next?.byHand ?? false) };
      return running.then(() => running ?? undefined);
    }
    running = trip(how).finally(() => {
      running = null;
      const more = next;
      next = null;
      if (more) void go(more);
    });
    return running;
  };

  let after: ReturnType<typeof setTimeout> | undefined;
  const soon = (): void => {
    // Whoever must sign in, or has met another house, must do something first; a pause ends by itself.
    if (after !== undefined && timers.has(after)) return;
    if (link.peek().state === 'cannot_reach' && !quiet) {
      // Not in the path of the tap.
      const timer = setTimeout(() => {
        timers.delete(timer);
        hears.held();
      }, AFTER_WRITE_MS);
      after = timer;
      timers.add(timer);
    }
    if (link.peek().state !== 'in_step' && link.peek().state !== 'never') return;
    after = later(AFTER_WRITE_MS, { greet: false, byHand: false });
  };

  const arrive = (): void => void go({ greet: true, byHand: false });
  const seen = (): void => {
    if (document.visibilityState === 'visible') arrive();
  };
  const watch = setInterval(() => {
    const off = typeof document !== 'undefined' && document.visibilityState !== 'visible';
    if (!off && link.peek().state !== 'other_house' && link.peek().state !== 'cannot_reach') {
      void go({ greet: link.peek().state === 'signed_out', byHand: false });
    }
  }, WATCH_MS);
  globalThis.addEventListener?.('online', arrive);
  if (typeof document !== 'undefined') document.addEventListener('visibilitychange', seen);

  return {
    go,
    soon,
    stop() {
      stopped = true;
      clearInterval(watch);
      clearTimeout(pause);
      clearTimeout(showing);
      for (const timer of timers) clearTimeout(timer);
      globalThis.removeEventListener?.('online', arrive);
      if (typeof document !== 'undefined') document.removeEventListener('visibilitychange', seen);
    },
  };
}
