/** Rows of the egg store and of what leaves it, as docs/wire.md gives them. Nothing here runs. */
import type { PackedEggs } from './bodies.ts';
import type { Day, Id, Millis, MissingFigure } from './contract.ts';

/** Eggs of one line and day laid; laid_on null: nobody knows which. `id` is `<line>/<laid_on>`, or `<line>/unknown`. */
export interface EggStoreRow {
  id: string;
  line: Id;
  laid_on: Day | null;
  /** Sound ones. */
  collected: number;
  seen: number | null;
  seen_on: Day | null;
  set: number;
  packed: number;
  eaten: number;
  sold_to_eat: number;
  thrown_away: number;
  /** What should be there now; below zero where more was taken than the book has. */
  left: number;
}

export interface OrderRow {
  id: Id;
  code: string;
  /** An opaque id; null: nobody in the list. */
  customer: Id | null;
  line: Id;
  eggs: number;
  wanted_by: Day;
  /** Null: the line's storage limit. */
  oldest_days: number | null;
  taken_on: Day;
  note: string;
  promised_eggs: number | null;
  promised_for: Day | null;
  promised_sure: number | null;
  promised_on: Day | null;
  withdrawn_on: Day | null;
}

export interface ShipmentRow {
  id: Id;
  code: string;
  customer: Id | null;
  eggs: PackedEggs[];
  boxes: number | null;
  box_holds: number | null;
  packing: string;
  packed_on: Day;
  sent_on: Day | null;
  sent_by: string;
  report?: HatchReport | null;
  note: string;
}

/** Null: not said (yet); `clear` also where the eggs were not candled. */
export interface LineReported {
  line: Id;
  broken: number | null;
  set: number | null;
  clear: number | null;
  hatched: number | null;
  /** `plumage` null: none of the line's classes. */
  chicks: { plumage: string | null; chicks: number }[];
}

/** What was last said of the hatch of a shipment; `lines` is empty while nothing was. */
export interface HatchReport {
  lines: LineReported[];
  /** It came by the link; else the owner typed in the reply slip. */
  by_customer: boolean;
  first_on: Day | null;
  last_on: Day | null;
  times: number;
  /** It has more than was sent: in no figure until settled. */
  contradicts: boolean;
  closed_on: Day | null;
  aside_on: Day | null;
  aside_why: string;
}

/** What can be promised of a line (`id`): the largest order for each day from `from_day` on. */
export interface CanPromiseRow {
  id: Id;
  from_day: Day;
  most: number[];
  /**
   * How sure those promised and not packed are now; `short`: eggs that each lacks in one future of ten; `anew`: as `most`,
   * were this order not there, so what it may be promised anew.
   */
  orders: { order: Id; sure: number; short: number; anew?: number[] }[];
  hens: number;
  /** Of the eggs taken with no day given, those that are of none in the store now. */
  unknown_before?: number;
  lay_rate: number | null;
  missing: MissingFigure | null;
  computed_at: Millis;
}

/** Of the eggs collected of a line and day, those laid within a withdrawal span. */
export interface WithheldRow {
  id: string;
  line: Id;
  laid_on: Day;
  eggs: number;
}
