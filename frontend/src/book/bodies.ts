/** The body of each kind of entry, as docs/wire.md gives it. Nothing here runs. */
import type { Day, Id, LineReported, Prices, Round, SettingPlan, Typed, WeightUnit } from './contract.ts';

export interface Bodies {
  farm: { name: string; zone: string; weight_unit: WeightUnit; rounds: Round[] };
  line: {
    line: Id;
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
  };
  cage: { cage: Id; code: string; row: string; place: number; line: Id | null; closed: boolean };
  brood: { brood: Id; line: Id; code: string; hatched_on: Day; chicks: number; note: string };
  birds_placed: {
    cage: Id;
    brood: Id | null;
    from_cage: Id | null;
    hens: number;
    cocks: number;
    unsexed: number;
    birds: NamedBird[];
  };
  egg_count: {
    cage: Id;
    round: string;
    eggs: number;
    cracked: number;
    soiled: number;
    thin_shelled: number;
  };
  cage_passed: { cage: Id; round: string; reason: string };
  found_dead: {
    cage: Id | null;
    brood: Id | null;
    hens: number;
    cocks: number;
    unsexed: number;
    birds: NamedBird[];
    note: string;
  };
  head_check: { cage: Id; hens: number; cocks: number; unsexed: number };
  cage_note: { cage: Id; text: string };
  egg_weight: { cage: Id; eggs: number; grams: number; typed: Typed };
  /** number: what the phone called the bird; left out in what older phones wrote, and written by every phone of today. */
  bird_weight: {
    bird: Id;
    brood: Id;
    number?: number | null;
    band: string | null;
    grams: number;
    typed: Typed;
  };
  bird_sexed: {
    bird: Id;
    brood: Id;
    number?: number | null;
    result: 'cock' | 'hen' | 'unsure';
    band: string | null;
  };
  strike: { entry: Id; why: string };
  /** The question with this code about these entries: they were looked at, and are right. */
  found_right: { entries: Id[]; code: string; note: string };
  eggs_set: { setting: Id; code: string; incubator: string; set_on: Day; trays: TraySet[]; note: string };
  candled: {
    setting: Id;
    tray: Id;
    /** Eggs that could be read: clear and dead early ones are among them. */
    read: number;
    clear: number;
    dead_early: number;
    unread: number;
    broken: number;
    removed: number;
    note: string;
  };
  lockdown: { setting: Id; note: string };
  incubator_read: {
    setting: Id;
    temperature_c: number | null;
    humidity_percent: number | null;
    note: string;
  };
  hatched: {
    setting: Id;
    tray: Id;
    hatched: number;
    pipped_dead: number;
    dead_in_shell: number;
    note: string;
  };
  brood_hatched: {
    brood: Id;
    setting: Id;
    trays: Id[];
    line: Id;
    code: string;
    hatched_on: Day;
    note: string;
  };
  /** plumage: a key of the line's classes; null: nobody looked. */
  chicks_seen: { brood: Id; setting: Id | null; plumage: string | null; chicks: number };
  birds_banded: { brood: Id; birds: { bird: Id; band: string }[] };
  sex_guessed: {
    bird: Id;
    brood: Id;
    number?: number | null;
    guess: 'cock' | 'hen' | 'unsure';
    by: 'feathers' | 'foam' | 'voice' | 'other';
    band: string | null;
  };
  brooder_moved: { brood: Id; to: string; note: string };
  injured: { cage: Id | null; brood: Id | null; bird: Id | null; number: number; text: string };
  /** row and brood null: the whole barn. */
  lights_and_heat: {
    row: string | null;
    brood: Id | null;
    light_hours: number | null;
    temperature_c: number | null;
    note: string;
  };
  /** grams: of all of them together. */
  birds_weighed: {
    brood: Id;
    hens: number;
    cocks: number;
    unsexed: number;
    grams: number;
    typed: Typed;
  };
  /** plumage: a key of the line's classes. */
  plumage_seen: { bird: Id; brood: Id; plumage: string };
  bird_decided: { bird: Id; brood: Id; decision: Decision; note: string };
  processed: TakenFrom & {
    live_g: number | null;
    live_typed: Typed | null;
    dressed_g: number | null;
    dressed_typed: Typed | null;
    /** 1 torn or many feathers left, 3 some pin feathers, 5 clean and whole. */
    pluck: number | null;
    note: string;
  };
  birds_sold: TakenFrom & { note: string };
  birds_bought_in: {
    brood: Id;
    line: Id;
    code: string;
    hatched_on: Day;
    hatch_day_sure: boolean;
    hens: number;
    cocks: number;
    unsexed: number;
    quarantine_until: Day | null;
    note: string;
  };
  treated: {
    treatment: Id;
    cage: Id | null;
    brood: Id | null;
    line: Id | null;
    what: string;
    from_day: Day;
    to_day: Day | null;
    eggs_until: Day | null;
    meat_until: Day | null;
    note: string;
  };
  store_seen: { eggs: (StoreEggs & { laid_on: Day })[]; note: string };
  eggs_out: { how: EggsOutHow; eggs: StoreEggs[]; note: string };
  order_taken: {
    order: Id;
    code: string;
    /** Never a name. */
    customer: Id | null;
    line: Id;
    eggs: number;
    wanted_by: Day;
    oldest_days: number | null;
    note: string;
  };
  prices_told: Omit<Prices, 'told_on'> & { line: Id; note: string };
  setting_planned: Omit<SettingPlan, 'planned_on'> & { line: Id };
  plumage_claimed: {
    line: Id;
    parts: { key: string; part: number }[];
    recessive: string[];
    met_at_random: boolean;
    note: string;
  };
  promised: { order: Id; eggs: number; for_day: Day; sure: number };
  order_withdrawn: { order: Id; why: string };
  packed: {
    shipment: Id;
    code: string;
    customer: Id | null;
    eggs: PackedEggs[];
    boxes: number | null;
    box_holds: number | null;
    packing: string;
    note: string;
  };
  sent: { shipment: Id; by: string; note: string };
  feed_bought: { what: string; kg: number; paid: number | null; currency: string | null; note: string };
  /** `row` and `brood` both null: all the cages. `days`: eaten on so many, the entry's own the last. */
  feed_fed: { row: string | null; brood: Id | null; kg: number; days: number; note: string };
  expense: {
    part: 'laying' | 'hatching' | 'rearing' | 'processing';
    what: string;
    /** Null: shared. */
    line: Id | null;
    amount: number;
    currency: string;
    note: string;
  };
  hatch_reported: {
    shipment: Id;
    lines: LineReported[];
    /** Typed in by the owner from the reply slip. */
    slip: boolean;
  };
  hatch_report_closed: { shipment: Id };
  hatch_report_aside: { shipment: Id; why: string };
}

export type EggsOutHow = 'eaten' | 'sold_to_eat' | 'thrown_away';

/** Eggs of one line and day laid; null: nobody knows which. */
export interface StoreEggs {
  line: Id;
  laid_on: Day | null;
  eggs: number;
}

/** order null: for none. */
export interface PackedEggs extends StoreEggs {
  order: Id | null;
}

/** A named look a chick of the line may have; one is the type. */
export interface PlumageClass {
  key: string;
  words: string;
  is_type: boolean;
}

export type Decision = 'keep' | 'sell' | 'process' | 'hold';

/** A part of a setting with one source. laid_on null: nobody knows. */
export interface TraySet {
  tray: Id;
  name: string;
  line: Id;
  cage: Id | null;
  eggs: { laid_on: Day | null; eggs: number }[];
}

/** A bird known by its id, among a number of birds. */
export interface NamedBird {
  bird: Id;
  brood: Id;
}

/** Birds that leave, from exactly one of cage and brood; the named are among the numbers. */
export interface TakenFrom {
  cage: Id | null;
  brood: Id | null;
  hens: number;
  cocks: number;
  unsexed: number;
  birds: NamedBird[];
}

export type Kind = keyof Bodies;
