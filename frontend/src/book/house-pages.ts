/** What the pages at the house are made of: bodies of `figure_table` rows, as docs/wire.md gives them. Nothing here runs. */
import type { AheadPage } from './ahead-page.ts';
import type { ChoosingPage } from './choosing-page.ts';
import type { Day, FigureRow, Id, MissingFigure } from './contract.ts';
import type { CostPage } from './cost-page.ts';
import type { HatchingPage } from './hatching-page.ts';
import type { MatingPage } from './mating-page.ts';
import type { SheetPage } from './sheet-page.ts';
import type { TrueToTypePage } from './true-to-type-page.ts';
import type { WaitingPage } from './waiting-page.ts';

/** A figure on a page of the house: as a row of `figure`, without a place of its own. */
export type PageFigure = Omit<FigureRow, 'id' | 'subject' | 'computed_at'>;

export interface CageLaying {
  cage: Id;
  code: string;
  hens: number;
  hatched_on: Day | null;
  cohort: Id | null;
  rate: PageFigure;
  usual: PageFigure;
  /** Now over usual, less 1; null where one of the two may not be shown. */
  change: number | null;
  week: { eggs: number; days: number; usual: number | null };
  fell: PageFigure | null;
  watch_missing: MissingFigure | null;
  last_day: Day | null;
}

export interface LayingYear {
  year: number;
  observed: PageFigure;
  forecast: PageFigure;
  total: PageFigure;
}

/** Hens of one brood. Weeks are of age, 1 the first after the hatch. */
export interface Cohort {
  brood: Id;
  code: string;
  hatched_on: Day;
  cages: string[];
  stands: boolean;
  start: Day | null;
  missing: MissingFigure | null;
  /** week, eggs a hen-day, hen-days */
  weeks: [number, number, number][];
  last_day: Day | null;
  years: LayingYear[];
  model?: string;
  /** week, eggs a hen-day */
  fitted?: [number, number][];
  /** week, eggs a hen-day, low, high */
  forecast?: [number, number, number, number][];
  peak?: [number, number];
}

export interface LayingPage {
  reached: Day | null;
  figures: PageFigure[];
  cages: CageLaying[];
  cohorts: Cohort[];
}

export interface HousePages {
  laying: LayingPage;
  hatching: HatchingPage;
  choosing: ChoosingPage;
  sheet: SheetPage;
  true_to_type: TrueToTypePage;
  waiting: WaitingPage;
  ahead: AheadPage;
  mating: MatingPage;
  cost: CostPage;
}
