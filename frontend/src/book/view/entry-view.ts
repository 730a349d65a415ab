/** An entry as a page shows it, whether it was pulled or is still on this phone; and what the rounds of a day found. Pure. */
import type { AsideRow, Bodies, Day, EntryRow, Id, Kind, Millis } from '../contract.ts';
import { compare } from '../order.ts';
import type { Kept } from '../store/database.ts';

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

export const isOf = <K extends Kind>(entry: EntryView, kind: K): entry is EntryView<K> => entry.kind === kind;

/** What the entries on this phone, and the house's list of those set aside, say of other entries. */
export interface Remarks {
  strikes: ReadonlyMap<Id, { by: Id; why: string }>;
  mends: ReadonlyMap<Id, Id>;
  asides: ReadonlyMap<Id, AsideRow>;
}

export function remarks(open: readonly Kept[], asideRows: readonly AsideRow[]): Remarks {
  const strikes = new Map<Id, { by: Id; why: string }>();
  const mends = new Map<Id, Id>();
  for (const { id, entry, state } of open) {
    if (entry.kind === 'strike' && state !== 'aside') {
      const { entry: target, why } = entry.body as Bodies['strike'];
      strikes.set(target, { by: id, why });
    }
    if (entry.mends !== undefined) mends.set(entry.mends, id);
  }
  return { strikes, mends, asides: new Map(asideRows.map((row) => [row.entry, row])) };
}

export function viewOfKept(kept: Kept, { strikes, mends, asides }: Remarks): EntryView {
  const { entry, state, verdict, code, detail, field } = kept;
  const aside = asides.get(kept.id);
  const struck = strikes.get(kept.id) ?? (kept.struck_by ? { by: kept.struck_by, why: '' } : null);
  return {
    id: kept.id,
    author: entry.author,
    kind: entry.kind,
    version: entry.version,
    day: entry.day,
    stamp: entry.stamp,
    zone: entry.zone,
    body: entry.body,
    mends: entry.mends ?? null,
    place: aside ? 'aside' : state === 'sent' && verdict === 'waits' ? 'waits' : state,
    struck,
    reason: aside
      ? { code: aside.code, detail: aside.detail, field: aside.field }
      : code === undefined
        ? null
        : { code, detail: detail ?? '', field: field ?? null },
    mendedBy: kept.mended_by ?? mends.get(kept.id) ?? aside?.mended_by ?? null,
  };
}

/** `whys`: the pulled strikes, by id. */
export function viewOfRow(
  row: EntryRow,
  { strikes, mends }: Remarks,
  whys: ReadonlyMap<Id, EntryRow> = new Map(),
): EntryView {
  const by = row.struck_by;
  const why = by === null ? '' : String(whys.get(by)?.body.why ?? '');
  return {
    id: row.id,
    author: row.author,
    kind: row.kind as Kind,
    version: row.version,
    day: row.day,
    stamp: row.stamp,
    zone: row.zone,
    body: row.body as Bodies[Kind],
    mends: row.mends,
    place: row.state === 'waits' ? 'waits' : 'book',
    struck: by === null ? (strikes.get(row.id) ?? null) : { by, why },
    reason: row.code === null ? null : { code: row.code, detail: row.detail ?? '', field: null },
    mendedBy: mends.get(row.id) ?? null,
  };
}

/** Newest first; one that is here twice (its answer was lost) is shown as the book has it. Strikes show on what they strike. */
export function merge(pulled: readonly EntryView[], own: readonly EntryView[]): EntryView[] {
  const byId = new Map([...own, ...pulled].map((view) => [view.id, view]));
  return [...byId.values()].filter((view) => view.kind !== 'strike').sort((a, b) => compare(b, a));
}

/** What one round found in one cage on one day. */
export interface RoundInCage {
  /** Unstruck counts, newest first; more than one is a clash. */
  counts: EntryView<'egg_count'>[];
  passed: EntryView<'cage_passed'> | null;
  /** The count, or null when there is none or several that clash. */
  eggs: number | null;
  clash: boolean;
}

export type Rounds = ReadonlyMap<Id, ReadonlyMap<string, RoundInCage>>;

/** Cage id, then key of the round. Entries come newest first; those struck or aside count for nothing. */
export function roundsIn(entries: readonly EntryView[]): Rounds {
  const rounds = new Map<Id, Map<string, RoundInCage>>();
  for (const view of entries) {
    if (view.struck || view.place === 'aside') continue;
    if (!isOf(view, 'egg_count') && !isOf(view, 'cage_passed')) continue;
    const { cage, round } = view.body;
    const ofCage = rounds.get(cage) ?? new Map<string, RoundInCage>();
    rounds.set(cage, ofCage);
    const found = ofCage.get(round) ?? { counts: [], passed: null, eggs: null, clash: false };
    ofCage.set(round, found);
    if (isOf(view, 'cage_passed')) found.passed ??= view;
    else found.counts.push(view);
    found.clash = found.counts.length > 1;
    found.eggs = found.counts.length === 1 ? (found.counts[0]?.body.eggs ?? null) : null;
  }
  return rounds;
}
