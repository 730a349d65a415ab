import { typedNumber } from '../../parts/weight.ts';

/** A number, 0 too; NaN where it is none. */
export const typedAmount = (text: string): number =>
  /^0*([.,]0*)?$/.test(text.trim()) && text.trim() !== '' ? 0 : (typedNumber(text) ?? Number.NaN);
