/** What the house sends of a line's replacements: see docs/wire.md. Nothing here runs. */
import type { Day, Id, MissingFigure } from './contract.ts';
import type { PageFigure } from './house-pages.ts';

export interface CageAhead {
  cage: Id;
  code: string;
  hens: number;
  cocks: number;
  /** replace_hens: the laying life ends; hens_breeding: the breeding life. */
  life: string;
  hatched_on: Day;
  last_day: Day;
  set_day: Day;
  in_lay: Day;
  /** So many days after the last day young hens lay, though eggs are set today. */
  late_days: number;
  /** work, first day, last day */
  steps: [string, Day, Day][];
  eggs: { eggs: number; sure: number; one_fewer: number; cocks: number; hens: number } | null;
}

export interface AheadPage {
  /** hatch, live, cocks, cut_cocks, cut_hens */
  rates: PageFigure[];
  missing: MissingFigure | null;
  cages: CageAhead[];
  cocks: number[];
  hens: number[];
  /** Eggs at 90 %: a row for each of `cocks`, in it one for each of `hens`; null: not known, or nobody wanted. */
  eggs: (number | null)[][];
  plans: { plan: Id; left: number }[];
}
