/** What the house sends of waiting or processing, of a line: see docs/wire.md. Nothing here runs. */
import type { Day, Id, Prices } from './contract.ts';
import type { PageFigure } from './house-pages.ts';

export interface WaitingSex {
  /** The age at which waiting stops paying. */
  turns: PageFigure;
  /** At the weighing age; null where no curve reaches it. */
  weight: PageFigure | null;
  /** age at the end of the day, weight then, gain, feed, what the day brings, what it costs */
  steps: [number, number, number, number, number, number][];
}

export interface WaitingPage {
  standard_age_days: number;
  prices: Prices | null;
  /** The last feed bought with a price: to be proposed. */
  feed_bought?: { per_kg: number; currency: string; bought_on: Day } | null;
  dressing: PageFigure | null;
  /** Broods near the weighing age, with birds that nobody has kept or placed. */
  broods: { brood: Id; code: string; hatched_on: Day; cocks: number; hens: number }[];
  sexes: { cock: WaitingSex; hen: WaitingSex };
}
