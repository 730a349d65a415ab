/** What a person does to the book: writes, strikes, mends. Each resolves when it is durable on this phone, not before. */
import { computed } from '@preact/signals';
import { v7 } from 'uuid';
import type { Bodies, Day, Entry, Id, Kind, Millis } from './contract.ts';
import type { Barn } from './kinds/barn.ts';
import * as eggCount from './kinds/egg-count.ts';
import type { Refusal } from './kinds/fields.ts';
import { kindOf, versionOf } from './kinds/index.ts';
import { loadKindsFor } from './kinds-here.ts';
import { me, syncer, today, ways, zone } from './opening.ts';
import { Refused } from './refused.ts';
import { lookAtStorage, setStorage, storage } from './safe-keeping.ts';
import type { FarmBase, Kept } from './store/database.ts';
import { append, asWire, NotSaved } from './store/outbox.ts';
import { tell } from './tabs.ts';
import type { EntryView } from './view/entry-view.ts';
import { lastCountsOf } from './view/last-counts.ts';
import { add, asideAfterAll, farm, farmOpen, openEntries, standingNow, viewsOf } from './view/shelf.ts';

export interface Outbox {
  /** Entries the house does not have yet. */
  waiting: number;
  /** Entries that need the person: aside or stuck. */
  refused: number;
  /** Stamp of the oldest waiting entry. */
  oldest: Millis | null;
  /** Refused ones first, then the waiting, newest first. */
  readonly entries: EntryView[];
}

const isRefused = (kept: Kept): boolean => kept.open === 'aside' || kept.open === 'stuck';
const isWaiting = (kept: Kept): boolean => kept.open === 'waiting' || kept.open === 'later';

export const outbox = computed<Outbox>(() => {
  const open = openEntries.value;
  const waiting = open.filter(isWaiting);
  const refused = [...open.filter(isRefused), ...asideAfterAll.value];
  let entries: EntryView[] | null = null;
  return {
    waiting: waiting.length,
    refused: refused.length,
    oldest: waiting.reduce<Millis | null>(
      (oldest, { entry }) => Math.min(oldest ?? entry.stamp, entry.stamp),
      null,
    ),
    // Only the outbox's own page reads them.
    get entries() {
      entries ??= viewsOf([...refused.toReversed(), ...waiting.toReversed()]);
      return entries;
    },
  };
});

const OWNERS_ONLY: ReadonlySet<Kind> = new Set(['found_right', 'farm', 'line', 'cage', 'treated']);

function author(kind: Kind): Id {
  const who = me.peek();
  if (!who) throw new Refused('Nobody is signed in: sign in to write in the book.', { code: 'signed_out' });
  if (who.role === 'onlooker')
    throw new Refused('Onlookers read the book and do not write in it. Ask the owner to be made a helper.', {
      code: 'onlookers_do_not_write',
    });
  if (who.role !== 'owner' && OWNERS_ONLY.has(kind))
    throw new Refused('Only the owner sets the barn up, writes treatments, and answers what is asked.', {
      code: 'owners_only',
    });
  return who.person;
}

/** What is wrong with this body; null when it may be written. */
export const refusal = <K extends Kind>(kind: K, body: Bodies[K]): Refusal | null =>
  kindOf(kind)?.check(body) ?? null;

export interface WriteOptions {
  /** The farm's calendar day that is meant; today when left out. */
  day?: Day;
}

/** Resolves only when the entry is durable on this phone. Rejects with `Refused` or `NotSaved`, each with a sentence. */
export const write = <K extends Kind>(
  kind: K,
  body: Bodies[K],
  options: WriteOptions = {},
): Promise<Entry<K>> => save(kind, body, options);

export const strike = (entry: Id, why: string): Promise<Entry<'strike'>> =>
  save('strike', { entry, why }, {});

/** Strikes an entry as a slip of the thumb. */
export const undo = (entry: Id): Promise<Entry<'strike'>> => strike(entry, 'undone at once');

/** Writes a new entry in the place of one that was set aside. */
export const mend = <K extends Kind>(
  old: Id,
  kind: K,
  body: Bodies[K],
  options: WriteOptions = {},
): Promise<Entry<K>> => save(kind, body, { ...options, mends: old });

async function save<K extends Kind>(
  kind: K,
  body: Bodies[K],
  { day = today.peek(), mends }: WriteOptions & { mends?: Id },
): Promise<Entry<K>> {
  await loadKindsFor([kind]);
  const wrong = refusal(kind, body);
  if (wrong) throw new Refused(wrong.detail, { code: wrong.code, field: wrong.field });
  const base = farmOpen.peek();
  const by = author(kind);
  if (!base) throw new NotSaved('Not saved: the book is not open. Reload the page.', { full: false });
  const entry = {
    author: by,
    kind,
    version: versionOf(kind),
    day,
    zone: zone(),
    body,
    ...(mends !== undefined && { mends }),
  };
  const kept = await withRoom(() => append(base, entry, ways.now()));
  // It is on the phone: what cannot be read for the view just now is read at the next opening.
  await add(kept).catch(() => {});
  tell({ what: 'changed', farm: base.name, tables: [] });
  syncer()?.soon();
  if (storage.peek().persisted === false && kept.device_seq === 1) void lookAtStorage(true);
  return asWire(kept) as Entry<K>;
}

/** A full store gives up the older pulled entries, which the house has, and is tried once more. */
async function withRoom(save: () => Promise<Kept>): Promise<Kept> {
  const base = farmOpen.peek();
  try {
    const kept = await save();
    if (storage.peek().full) setStorage({ full: false });
    return kept;
  } catch (error) {
    if (!(error instanceof NotSaved) || !error.full || !base) throw error;
    await makeRoom(base);
    try {
      return await save();
    } catch (again) {
      setStorage({ full: true });
      throw again;
    }
  }
}

async function makeRoom(base: FarmBase): Promise<void> {
  try {
    const { pruneRows } = await import('./store/prune.ts');
    await pruneRows(base, today.peek(), 7);
  } catch {
    // What comes of it is seen at the second try.
  }
}

/** A new UUIDv7 for a cage, line, brood or bird. */
export const newId = (): Id => v7();

export interface DoubtOptions extends WriteOptions {
  /** Entries in whose place it is written. */
  instead?: readonly Id[];
}

/** What is implausible about this body, as a question to ask once more; null when nothing is. */
export function doubt<K extends Kind>(
  kind: K,
  body: Bodies[K],
  { day = today.peek(), instead = [] }: DoubtOptions = {},
): string | null {
  if (kind === 'egg_count') return doubtCount(body as Bodies['egg_count'], day, instead);
  // Doubts only read.
  return kindOf(kind)?.doubt?.(body, standingNow.peek() as Barn, day) ?? null;
}

function doubtCount(body: Bodies['egg_count'], day: Day, instead: readonly Id[]): string | null {
  const cage = standingNow.peek().cages.get(body.cage);
  if (!cage) return null;
  const afterLay = farm.peek()?.rounds.find(({ key }) => key === body.round)?.after_lay ?? false;
  const hens = Math.max(0, cage.hens) + Math.max(0, cage.unsexed);
  const could = { hens, stockedOn: cage.stocked_on, before: lastCountsOf(body.cage, instead) };
  return eggCount.doubt(body, { day, afterLay }, could);
}
