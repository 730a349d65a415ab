/** What was weighed so far, as it runs: sums of what was typed, no more. The figures are the house's. */
import type { Bodies } from '../../book/index.ts';

export interface Running {
  eggs: number;
  /** Eggs weighed one by one: only of these is each weight known. */
  singles: number;
  mean_g: number | null;
  band: { low_g: number; high_g: number; inside: number } | null;
}

export function running(
  weighings: Pick<Bodies['egg_weight'], 'eggs' | 'grams'>[],
  band: { low_g: number | null; high_g: number | null } | null,
): Running {
  const eggs = weighings.reduce((n, w) => n + w.eggs, 0);
  const grams = weighings.reduce((n, w) => n + w.grams, 0);
  const singles = weighings.filter((w) => w.eggs === 1);
  const { low_g, high_g } = band ?? { low_g: null, high_g: null };
  return {
    eggs,
    singles: singles.length,
    mean_g: eggs === 0 ? null : grams / eggs,
    band:
      low_g === null || high_g === null
        ? null
        : { low_g, high_g, inside: singles.filter((w) => w.grams >= low_g && w.grams <= high_g).length },
  };
}
