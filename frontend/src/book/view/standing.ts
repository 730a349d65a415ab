/**
 * What stands in the barn as this phone knows it: the rows as they were pulled, with this phone's own entries over them
 * that the house has not told of yet. No statistics: those are the house's. Pure.
 *
 * The rows were made of all the entries the house has, in the order of days; an unsent entry of an earlier day than a
 * pulled head check is laid over it all the same, until the house has both and says.
 */
import type { EntryRow, Id } from '../contract.ts';
import type { Barn, Struck } from '../kinds/barn.ts';
import { kindOf } from '../kinds/index.ts';
import { compare } from '../order.ts';
import type { Kept } from '../store/database.ts';

/** A pulled entry that a strike of this phone names. */
export interface StruckRow extends Struck<EntryRow['body']> {
  kind: string;
  row: EntryRow;
}

export type Rows = {
  [T in keyof Barn]: Barn[T] extends Map<Id, infer R> ? ReadonlyMap<Id, R> : Barn[T];
};

export interface Over {
  /** In order. */
  open: readonly Kept[];
  /** Pulled already, though this phone has no verdict: the answer was lost. */
  pulled: ReadonlySet<Id>;
  struck: readonly StruckRow[];
}

/** Whether the rows lack the effect of this entry, and it has one. */
export function counts(kept: Kept, pulled: ReadonlySet<Id>): boolean {
  return kept.state !== 'aside' && kept.verdict !== 'waits' && !kept.again && !pulled.has(kept.id);
}

/** The entries of this phone's outbox that a standing strike of this phone names. */
export function struckHere(open: readonly Kept[]): Set<Id> {
  const struck = new Set<Id>();
  for (const { entry, state } of open)
    if (entry.kind === 'strike' && state !== 'aside') struck.add((entry.body as { entry: Id }).entry);
  return struck;
}

export function standing(rows: Rows, { open, pulled, struck }: Over): Rows {
  const barn: Barn = {
    farm: rows.farm,
    lines: new Map(rows.lines),
    cages: new Map(rows.cages),
    broods: new Map(rows.broods),
    birds: new Map(rows.birds),
    settings: new Map(rows.settings),
    trays: new Map(rows.trays),
    withdrawals: new Map(rows.withdrawals),
    store: new Map(rows.store),
    orders: new Map(rows.orders),
    shipments: new Map(rows.shipments),
  };
  for (const each of [...struck].sort((a, b) => compare(b.row, a.row)))
    kindOf(each.kind)?.unstands?.(barn, each);
  const gone = struckHere(open);
  for (const kept of open) {
    const { stands } = kindOf(kept.entry.kind) ?? {};
    if (stands && !gone.has(kept.id) && counts(kept, pulled)) stands(barn, kept.entry);
  }
  return {
    farm: barn.farm,
    lines: sameOr(rows.lines, barn.lines),
    cages: sameOr(rows.cages, barn.cages),
    broods: sameOr(rows.broods, barn.broods),
    birds: sameOr(rows.birds, barn.birds),
    settings: sameOr(rows.settings, barn.settings),
    trays: sameOr(rows.trays, barn.trays),
    withdrawals: sameOr(rows.withdrawals, barn.withdrawals),
    store: sameOr(rows.store, barn.store),
    orders: sameOr(rows.orders, barn.orders),
    shipments: sameOr(rows.shipments, barn.shipments),
  };
}

/** The old map where nothing changed, so that a screen is not drawn again for nothing. */
function sameOr<R>(before: ReadonlyMap<Id, R>, after: ReadonlyMap<Id, R>): ReadonlyMap<Id, R> {
  if (before.size !== after.size) return after;
  for (const [id, row] of after) if (before.get(id) !== row) return after;
  return before;
}

/** What stood before a struck entry, from the other entries of the kind about the same thing. */
export function struckRow(row: EntryRow, others: readonly EntryRow[]): StruckRow {
  const same = others
    .filter((other) => other.kind === row.kind && other.id !== row.id && other.struck_by === null)
    .filter((other) => other.state === 'stands')
    .sort(compare);
  const before = same.filter((other) => compare(other, row) < 0).at(-1) ?? null;
  const last = same.every((other) => compare(other, row) < 0);
  return { kind: row.kind, row, day: row.day, body: row.body, before, last };
}
