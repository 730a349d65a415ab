/** The body of a `cost/<line>` row. Nothing here runs. */
import type { PageFigure } from './house-pages.ts';

/** What a cost is the sum of: the line's part of an outlay, and by what measure it was shared out ("" : the line's own). */
export interface CostPart {
  what: string;
  amount: number;
  share: number;
  shared_by: string;
}

/** `name` is dozen, chick, bird or kg. */
export type CostFigure = PageFigure & { parts: CostPart[] };

/** An expense that belongs to no cost of its month: nothing of what it was for was there. */
export interface NotBorne {
  what: string;
  /** Null: of no known price. */
  amount: number | null;
  currency: string;
  /** Of an expense; `past_age`: feed of broods past the weighing age, or bought in. */
  part: string;
}

/** Months that are over, newest first; `month` as 2026-03. */
export interface CostPage {
  currency: string;
  months: { month: string; figures: CostFigure[]; not_borne?: NotBorne[] }[];
}
