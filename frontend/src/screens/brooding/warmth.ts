/** How warm a brooder should be, by week: Mississippi State University, 90-95, 85-90, 80-85, 75-80, 70-75 °F, then 70 (docs/wire.md). */
const WEEKS_F: [number, number][] = [
  [90, 95],
  [85, 90],
  [80, 85],
  [75, 80],
  [70, 75],
  [70, 70],
];

const celsius = (f: number) => Math.round(((f - 32) * 5) / 9);

export function brooderWarmth(age_days: number): string {
  const week = Math.min(Math.floor(Math.max(0, age_days) / 7), WEEKS_F.length - 1);
  const [low, high] = WEEKS_F[week] as [number, number];
  return low === high
    ? `${celsius(low)} °C (${low} °F)`
    : `${celsius(low)} to ${celsius(high)} °C (${low} to ${high} °F)`;
}
