/** Weights as a person types and reads them. What was typed is kept with its unit; the book holds grams. */
export type Unit = 'g' | 'oz';

/** International avoirdupois ounce, exact: NIST Handbook 44, appendix C. */
export const GRAMS_PER_OUNCE = 28.349523125;

/** "0.58" or "0,58" as a number above 0; null when it is not one. */
export function typedNumber(text: string): number | null {
  if (!/^\d{1,5}([.,]\d{0,3})?$|^[.,]\d{1,3}$/.test(text.trim())) return null;
  const n = Number(text.trim().replace(',', '.'));
  return n > 0 ? n : null;
}

/** Grams, to the thousandth: finer than any scale in a barn. */
export function toGrams(value: number, unit: Unit): number {
  return Math.round(value * (unit === 'oz' ? GRAMS_PER_OUNCE : 1) * 1000) / 1000;
}

export function showWeight(grams: number, unit: Unit, of: 'egg' | 'bird'): string {
  const value = unit === 'oz' ? grams / GRAMS_PER_OUNCE : grams;
  const places = unit === 'oz' ? 2 : of === 'egg' ? 1 : 0;
  return `${value.toFixed(of === 'bird' && unit === 'oz' ? 1 : places)} ${unit}`;
}

/** A difference in weight, or a gain: one place finer than a weight. */
export const showDifference = (grams: number, unit: Unit): string =>
  unit === 'oz' ? `${(grams / GRAMS_PER_OUNCE).toFixed(2)} oz` : `${grams.toFixed(1)} g`;

/** "14–16 g", "0.49–0.56 oz". */
export function showBand({ low_g, high_g }: { low_g: number; high_g: number }, unit: Unit): string {
  const value = (grams: number) => (unit === 'oz' ? (grams / GRAMS_PER_OUNCE).toFixed(2) : String(grams));
  return `${value(low_g)}–${value(high_g)} ${unit}`;
}
