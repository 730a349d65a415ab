/** The body of a `choosing/<line>` row. Weights are at the line's standard age. Nothing here runs. */
import type { Day, Id } from './contract.ts';
import type { PageFigure } from './house-pages.ts';

export type ChosenSex = 'cock' | 'hen';

export interface BirdToChoose {
  bird: Id;
  brood: Id;
  number: number;
  band: string | null;
  sex: ChosenSex;
  grams: number;
  day: Day;
  /** Carried to the standard age by the line's own curve, or weighed that day; else by a stated one. */
  own_curve: boolean;
  plumage: string | null;
  decision: string | null;
  cage: Id | null;
  /** Breeding value with its limits; null where there are too few weights. */
  value_g: number | null;
  low_g: number | null;
  high_g: number | null;
  rank: number | null;
  /** At the other heritabilities too, where the one used was assumed. */
  ranks: number[];
}

/** What keeping the `kept` heaviest of one sex would do. gain: value, low, high of what this sex gives the chicks [g]. */
export interface Kept {
  kept: number;
  cut_g: number;
  mean_g: number;
  differential_g: number;
  gain: [number, number, number] | null;
}

export interface GroupToChoose {
  /** The brood, or `line` for all living birds of the line. */
  key: string;
  code: string | null;
  hatched_on: Day | null;
  first_day: Day;
  last_day: Day;
  sexes: Record<ChosenSex, { birds: number; mean_g: number | null; by_kept: Kept[] }>;
}

export interface ChoosingPage {
  standard_age_days: number;
  type: string | null;
  heritability: { used: number; low: number; high: number; from: string; figure: PageFigure | null };
  /** Why there are no breeding values, where there are none. */
  missing: PageFigure['missing'];
  /** Heaviest first. */
  birds: BirdToChoose[];
  groups: GroupToChoose[];
  /** null: the entries about parents contradict one another; `missing` says how. */
  kin: { broods: Id[]; coancestry: (number | null)[][]; all_parents_known: boolean } | null;
}
