/** The body of a `sheet/<line>` row: a line's published figures. Nothing here runs. */
import type { Day, MissingFigure } from './contract.ts';
import type { PageFigure } from './house-pages.ts';

export interface SheetPage {
  name: string;
  other_names: string[];
  weighing_age_days: number;
  laying_life_weeks: number | null;
  egg_band_g: [number, number] | null;
  figures: { key: string; words: string; reckoned_on: Day; figure: PageFigure }[];
  /** For too few records, by name. */
  left_off: { key: string; words: string; missing: MissingFigure }[];
  /** What must be known of the figures of shipped eggs, in sentences. */
  notes?: string[];
}
