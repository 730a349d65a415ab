/** The body of a `hatching/<line>` row. Nothing here runs. */
import type { Day, Id, MissingFigure } from './contract.ts';
import type { PageFigure } from './house-pages.ts';

/** Whether the male of a cage is failing, judged on the eggs candled lately; null where none was. */
export type MaleOfCage =
  | { missing: MissingFigure }
  | {
      missing: null;
      failing: boolean;
      probability: number;
      fertility: number;
      others: number;
      /** 95 % limits of the two; null where they may not be shown. */
      limits: [number, number] | null;
      others_limits: [number, number] | null;
      read: number;
      first_day: Day;
      last_day: Day;
    };

export interface HatchingPage {
  home: PageFigure[];
  shipped: PageFigure[];
  cages: { cage: Id; code: string; figures: PageFigure[]; male: MaleOfCage | null }[];
  settings: { setting: Id; code: string; set_on: Day; figures: PageFigure[] }[];
  /** points: days in store, eggs set, hatched; drawn: days in store, hatch. */
  egg_age: { slope: PageFigure; points: [number, number, number][]; drawn: [number, number][] };
}
