/**
 * The wire between phone and house, as docs/wire.md gives it. Nothing here runs.
 *
 * Ids are UUIDv7 in text. `stamp` and times are whole milliseconds since 1970-01-01 UTC. A day is `2026-03-14`.
 */

import type { Bodies, Decision, Kind, PlumageClass } from './bodies.ts';
import type { CanPromiseRow, EggStoreRow, OrderRow, ShipmentRow, WithheldRow } from './eggs-out-rows.ts';

export type * from './bodies.ts';
export type * from './eggs-out-rows.ts';
export type * from './house-state.ts';

export type Id = string;
export type Day = string;
export type Millis = number;
/** `cage/<id>`, `brood/<id>`, `line/<id>` or `bird/<id>`; `row/<row>` for the cages of a row, `row/` for them all. */
export type Subject =
  `${'cage' | 'brood' | 'line' | 'bird' | 'setting' | 'order' | 'shipment' | 'shipped' | 'row'}/${Id}`;

export type Role = 'owner' | 'helper' | 'onlooker';
export type WeightUnit = 'g' | 'oz';
export type Sex = 'unsexed' | 'cock' | 'hen' | 'unsure';

export interface Round {
  key: string;
  name: string;
  /** The round comes after the day's lay: its eggs belong to the same day, else to the days up to yesterday. */
  after_lay: boolean;
}

export interface Typed {
  value: string;
  unit: WeightUnit;
}

// Entries

/** An entry as it was made: never changed. */
export interface Entry<K extends Kind = Kind> {
  id: Id;
  author: Id;
  device_seq: number;
  kind: K;
  version: number;
  day: Day;
  stamp: Millis;
  zone: string;
  body: Bodies[K];
  mends?: Id;
}

export type VerdictWord = 'written' | 'already' | 'questioned' | 'waits' | 'aside' | 'later';

export interface Verdict {
  id: Id;
  verdict: VerdictWord;
  code?: string;
  detail?: string;
  field?: string;
}

export interface PushBatch {
  protocol: 1;
  batch: Id;
  book: Id | null;
  app: string;
  device_time: Millis;
  waiting: number;
  entries: Entry[];
}

export interface PushAnswer {
  protocol: 1;
  batch: Id;
  house: Id;
  book: Id;
  house_time: Millis;
  verdicts: Verdict[];
}

// Rows that come by the changes

export interface FarmRow {
  id: Id;
  name: string;
  zone: string;
  weight_unit: WeightUnit;
  rounds: Round[];
  example: boolean;
}

export interface PersonRow {
  id: Id;
  name: string;
  role: Role;
  active: boolean;
}

export interface LineRow {
  id: Id;
  name: string;
  other_names: string[];
  egg_low_g: number | null;
  egg_high_g: number | null;
  weighing_age_days: number;
  sexing_from_day: number;
  sexing_to_day: number;
  plumage: PlumageClass[];
  /** Null: not candled. */
  candle_on_day: number | null;
  lockdown_on_day: number;
  hatch_on_day: number;
  cock_cut_g: number | null;
  hen_cut_g: number | null;
  /** Null: makes no due. */
  laying_life_weeks: number | null;
  hen_breeding_weeks: number | null;
  cock_breeding_weeks: number | null;
  storage_limit_days: number;
  note: string;
  /** What the owner says of its plumage; null or left out: nothing. */
  claim?: PlumageClaim | null;
  /** What waiting costs and brings; null or left out: nobody said. */
  prices?: Prices | null;
  /** Eggs to be set, by their last day. */
  plans?: SettingPlan[];
}

export interface Prices {
  currency: string;
  feed_per_kg: number;
  cock_feed_g_a_day: number;
  hen_feed_g_a_day: number;
  sold_by: 'live_kg' | 'dressed_kg' | 'bird';
  price: number;
  labour_a_bird_day: number;
  place_a_bird_day: number;
  told_on: Day;
}

export interface SettingPlan {
  plan: Id;
  cage: Id | null;
  eggs: number;
  cocks: number;
  hens: number;
  from_day: Day;
  by_day: Day;
  note: string;
  planned_on: Day;
}

export interface PlumageClaim {
  parts: Record<string, number>;
  /** Classes held to be single recessives. */
  recessive: string[];
  met_at_random: boolean;
  said_on: Day;
}

export interface CageRow {
  id: Id;
  code: string;
  row: string;
  place: number;
  line: Id | null;
  closed: boolean;
  hens: number;
  cocks: number;
  unsexed: number;
  /** The day the present birds were put in. */
  stocked_on: Day | null;
}

export interface BroodRow {
  id: Id;
  line: Id;
  code: string;
  hatched_on: Day;
  chicks: number;
  /** Chicks less the dead, the processed and the sold. */
  alive: number;
  hens: number;
  cocks: number;
  unsure: number;
  /** Alive birds nobody has looked at. */
  unlooked: number;
  placed: number;
  /** The setting it came of, and its trays. */
  setting: Id | null;
  trays: Id[];
  /** Chicks seen, by plumage class; '' when nobody looked. */
  plumage: Record<string, number>;
  bought_in: boolean;
  hatch_day_sure: boolean;
  quarantine_until: Day | null;
  brooder: string;
  note: string;
}

export interface BirdRow {
  id: Id;
  brood: Id;
  number: number;
  /** Who called it so, and when; null or left out: nobody did. Two phones apart may have called two birds the same. */
  numbered_by?: Id | null;
  numbered_at?: Millis | null;
  band: string | null;
  sex: Sex;
  looked_on: Day | null;
  /** An early guess: no look. */
  guess: 'cock' | 'hen' | 'unsure' | null;
  guessed_by: string | null;
  guessed_on: Day | null;
  last_weight_g: number | null;
  weighed_on: Day | null;
  /** Its plumage class, where somebody saw it on the bird itself; rows of an older house have none. */
  plumage?: string | null;
  decision: Decision | null;
  decided_on: Day | null;
  /** Where it was last placed by its id. */
  cage: Id | null;
  placed_on: Day | null;
  gone: Gone | null;
  gone_on: Day | null;
}

export type Gone = 'dead' | 'processed' | 'sold';

/** Eggs in an incubator together. */
export interface SettingRow {
  id: Id;
  code: string;
  incubator: string;
  set_on: Day;
  eggs: number;
  trays: number;
  /** How many trays were. */
  candled: number;
  locked_down_on: Day | null;
  hatched: number;
  hatched_trays: number;
  chicks_seen: number;
  note: string;
}

export interface TrayRow {
  id: Id;
  setting: Id;
  name: string;
  line: Id;
  cage: Id | null;
  eggs: number;
  laid: { laid_on: Day | null; eggs: number }[];
  read: number;
  clear: number;
  dead_early: number;
  unread: number;
  broken: number;
  removed: number;
  /** Eggs less those taken out at candling. */
  left: number;
  candled_on: Day | null;
  hatched: number;
  pipped_dead: number;
  dead_in_shell: number;
  hatched_on: Day | null;
}

/** Who stood in a tray's source cage on the days its eggs were laid; `id` is the tray's. */
export interface ParentsRow {
  id: Id;
  setting: Id;
  tray: Id;
  cage: Id;
  first_laid: Day | null;
  last_laid: Day | null;
  eggs: number;
  /** Eggs whose day nobody knows. */
  days_unknown: number;
  hens_low: number | null;
  hens_high: number | null;
  cocks_low: number | null;
  cocks_high: number | null;
  /** Those known by their ids. */
  birds: Id[];
}

/** A treatment: within its days, and up to and with those of eggs and meat, sale and processing warn. */
export interface WithdrawalRow {
  id: Id;
  subject: Subject;
  what: string;
  first_day: Day;
  last_day: Day | null;
  eggs_until: Day | null;
  meat_until: Day | null;
  note: string;
}

export interface EntryRow {
  id: Id;
  author: Id;
  kind: string;
  version: number;
  day: Day;
  stamp: Millis;
  zone: string;
  body: Record<string, unknown>;
  state: 'stands' | 'waits';
  code: string | null;
  detail: string | null;
  struck_by: Id | null;
  mends: Id | null;
}

export interface AsideRow {
  id: Id;
  entry: Id;
  kind: string;
  author: Id | null;
  received: Millis;
  code: string;
  detail: string;
  field: string | null;
  raw: string;
  mended_by: Id | null;
}

export interface MissingFigure {
  reason: string;
  what: string;
  have: number;
  need: number;
  detail: string;
}

export interface FigureRow {
  id: Id;
  subject: Subject;
  /** `lay_rate`, `usual_count`, ... */
  name: string;
  /** `7d`, `28d`, `since_placed`; for `usual_count` the key of the round. */
  span: string;
  unit: string;
  value: number | null;
  low: number | null;
  high: number | null;
  n: number;
  n_of: string;
  first_day: Day | null;
  last_day: Day | null;
  method: string;
  left_out: { what: string; count: number; why: string }[];
  missing: MissingFigure | null;
  notes: string[];
  computed_at: Millis;
}

/** Until when a subject's eggs and meat wait, by all treatments that reach it: also by birds moved out of a treated cage. `id` is the subject. */
export interface WaitRow {
  id: string;
  subject: Subject;
  eggs_until: Day | null;
  meat_until: Day | null;
  treatments: Id[];
}

/** What a page at the house shows of a line; `id` is page and line: `laying/<line>`. Bodies: house-pages.ts. */
export interface FigureTableRow {
  id: string;
  body: unknown;
  computed_at: Millis;
}

export interface DueRow {
  id: Id;
  /** `sexing`, ... */
  work: string;
  subject: Subject;
  first_day: Day;
  last_day: Day;
  left: number | null;
  done: boolean;
}

export interface Tables {
  farm: FarmRow;
  person: PersonRow;
  line: LineRow;
  cage: CageRow;
  brood: BroodRow;
  bird: BirdRow;
  setting: SettingRow;
  tray: TrayRow;
  withdrawal: WithdrawalRow;
  egg_store: EggStoreRow;
  order: OrderRow;
  shipment: ShipmentRow;
  can_promise: CanPromiseRow;
  withheld: WithheldRow;
  entry: EntryRow;
  aside: AsideRow;
  figure: FigureRow;
  figure_table: FigureTableRow;
  wait: WaitRow;
  due: DueRow;
}

export type Table = keyof Tables;

/** One change: the row as it stands now, or null when it is gone. The table may be one this app does not know. */
export interface Change {
  table: string;
  id: Id;
  row: Record<string, unknown> | null;
}

export interface ChangesAnswer {
  protocol: 1;
  house: Id;
  book: Id;
  house_time: Millis;
  rows: Change[];
  next: number;
  more: boolean;
}
