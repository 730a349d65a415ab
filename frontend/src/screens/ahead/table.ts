/** Looking up in the table of eggs that the house sent. */
import type { AheadPage } from '../../book/ahead-page.ts';

export interface Wanted {
  cocks: number;
  hens: number;
}

/** Eggs at 90 % for so many keepers; null where the table does not hold them. */
export function eggsFor(
  page: Pick<AheadPage, 'cocks' | 'hens' | 'eggs'>,
  { cocks, hens }: Wanted,
): number | null {
  return page.eggs[page.cocks.indexOf(cocks)]?.[page.hens.indexOf(hens)] ?? null;
}

export const STEP_WORDS: Record<string, string> = {
  keep_eggs: 'Keep eggs back',
  set: 'Set them',
  lockdown: 'Lock down',
  hatch: 'Hatch',
  sex: 'Sexing',
  weigh: 'Weigh day',
  in_lay: 'Young hens lay',
  old_hens_out: 'Old hens out',
};
