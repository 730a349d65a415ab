/** Which orders are open, what was packed for them, and which eggs to set aside for each. No statistic: those are the house's. */
import type { CanPromiseRow, Day, Id, OrderRow, ShipmentRow } from '../../book/index.ts';
import { dayAfter, daysFrom, showWeekday } from '../../parts/days.ts';
import { limitOf, oldestFirst, type Picked, type Shelf } from '../egg-store/shelf.ts';

export const eggsIn = ({ eggs }: Pick<ShipmentRow, 'eggs'>): number => eggs.reduce((n, e) => n + e.eggs, 0);

export type State = 'asked' | 'promised' | 'packed' | 'sent' | 'withdrawn';

export interface Packed {
  eggs: number;
  shipments: ShipmentRow[];
}

export function packedFor(order: Id, shipments: Iterable<ShipmentRow>): Packed {
  const found: Packed = { eggs: 0, shipments: [] };
  for (const shipment of shipments) {
    const eggs = shipment.eggs.filter((e) => e.order === order).reduce((n, e) => n + e.eggs, 0);
    if (eggs > 0) found.shipments.push(shipment);
    found.eggs += eggs;
  }
  return found;
}

export function stateOf(order: OrderRow, { eggs, shipments }: Packed): State {
  if (order.withdrawn_on !== null) return 'withdrawn';
  if (shipments.some((s) => s.sent_on !== null)) return 'sent';
  if (eggs > 0 && eggs >= (order.promised_eggs ?? order.eggs)) return 'packed';
  return order.promised_for === null ? 'asked' : 'promised';
}

/** The day an order is for: the promised one, else the one wanted. */
export const dayOf = (order: OrderRow): Day => order.promised_for ?? order.wanted_by;

export interface SetAside {
  order: OrderRow;
  /** On which day's morning they go out: today for one that is late. */
  on: Day;
  wanted: number;
  eggs: Picked[];
  here: number;
}

/** The eggs of the store that each promised order binds, in the order of their days: the oldest that will still do. */
export function setAside(
  orders: Iterable<OrderRow>,
  { shipments, shelves, today }: { shipments: Iterable<ShipmentRow>; shelves: readonly Shelf[]; today: Day },
): SetAside[] {
  const boxes = [...shipments];
  const taken = new Map(shelves.map((shelf) => [shelf.line.id, new Map<Day, number>()]));
  return [...orders]
    .map((order) => ({ order, packed: packedFor(order.id, boxes) }))
    .filter(({ order, packed }) => stateOf(order, packed) === 'promised')
    .sort(
      (a, b) =>
        dayOf(a.order).localeCompare(dayOf(b.order)) ||
        (a.order.promised_on ?? '').localeCompare(b.order.promised_on ?? ''),
    )
    .map(({ order, packed }) => {
      const shelf = shelves.find((each) => each.line.id === order.line);
      const on = dayOf(order) < today ? today : dayOf(order);
      const wanted = (order.promised_eggs ?? order.eggs) - packed.eggs;
      const oldest_days = order.oldest_days ?? limitOf(shelf?.line);
      const eggs = shelf
        ? oldestFirst(shelf, { eggs: wanted, on, oldest_days, taken: taken.get(order.line) ?? new Map() })
        : [];
      return { order, on, wanted, eggs, here: eggs.reduce((n, each) => n + each.eggs, 0) };
    });
}

/** By day laid, the eggs of a line that other promised orders than this one bind. */
export function boundBy(plan: readonly SetAside[], { line, but }: { line: Id; but: Id }): Map<Day, number> {
  const bound = new Map<Day, number>();
  for (const { order, eggs } of plan)
    if (order.line === line && order.id !== but)
      for (const each of eggs) bound.set(each.laid_on, (bound.get(each.laid_on) ?? 0) + each.eggs);
  return bound;
}

/** What the house says of a line, from the orders promised on this phone that it has not heard of yet. */
export type Answer =
  | { say: 'yes'; most: number }
  | { say: 'no'; most: number; first_day: Day | null }
  | { say: 'unknown'; why: string };

/**
 * Whether so many eggs may be promised for a day, read off the house's table. younger: than the line keeps its eggs.
 * but: an order that is promised anew, and so not counted before itself.
 */
export function canPromise(
  row: CanPromiseRow | undefined,
  {
    eggs,
    day,
    unheard,
    younger = false,
    but,
  }: { eggs: number; day: Day; unheard: number; younger?: boolean; but?: Id | undefined },
): Answer {
  if (younger)
    return {
      say: 'unknown',
      why: 'What can be promised is reckoned for eggs as old as the line keeps them. For younger ones nothing is said.',
    };
  if (!row) return { say: 'unknown', why: 'The house has not said yet what this line can promise.' };
  if (row.missing) return { say: 'unknown', why: whyMissing(row.missing) };
  const table = tableFor(row, but);
  const at = daysFrom(row.from_day, day);
  const last = dayAfter(row.from_day, table.length - 1);
  if (at < 0) return { say: 'unknown', why: 'That day is over.' };
  if (at >= table.length) return { say: 'unknown', why: `The forecast reaches to ${showWeekday(last)}.` };
  const most = (n: number) => Math.max(0, (table[n] ?? 0) - unheard);
  if (most(at) >= eggs) return { say: 'yes', most: most(at) };
  const later = table.findIndex((_, n) => n > at && most(n) >= eggs);
  return { say: 'no', most: most(at), first_day: later === -1 ? null : dayAfter(row.from_day, later) };
}

/** Without the order itself, where the house has counted it in; else the house has not heard of its promise yet. */
function tableFor(row: CanPromiseRow, but: Id | undefined): readonly number[] {
  const anew = row.orders.find((each) => each.order === but)?.anew ?? [];
  return anew.length > 0 ? anew : row.most;
}

function whyMissing({ reason, have, need }: NonNullable<CanPromiseRow['missing']>): string {
  if (reason === 'too_few_days')
    return `Nothing can be promised yet: ${need} weeks of counts are needed, and there are ${Math.floor(have ?? 0)}.`;
  return 'Nothing can be promised of this line: its counts do not say how it lays.';
}

/** Eggs promised on this phone that the house's table does not count yet. */
export function unheard(
  row: CanPromiseRow | undefined,
  line: Id,
  plan: readonly SetAside[],
  but?: Id,
): number {
  const heard = new Set(row?.orders.map((each) => each.order));
  return plan
    .filter(({ order }) => order.line === line && order.id !== but && !heard.has(order.id))
    .reduce((n, each) => n + each.wanted, 0);
}
