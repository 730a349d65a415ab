/** A gauge as it is typed: null when left empty. */
export function readGauge(
  text: string,
  { least, most }: { least: number; most: number },
): number | null | 'wrong' {
  if (text.trim() === '') return null;
  const value = Number(text.trim().replace(',', '.'));
  return Number.isFinite(value) && least <= value && value <= most ? value : 'wrong';
}
