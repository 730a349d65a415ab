/** Looking up and adding in the table that the house sent: nothing is reckoned here. */
import type { WaitingSex } from '../../book/waiting-page.ts';

type Steps = WaitingSex['steps'];

/** What so many days from an age on leave for one bird; null where the table does not hold them all. */
export function leftByWaiting(steps: Steps, age_days: number, days: number): number | null {
  const those = steps.filter(([to]) => to > age_days && to <= age_days + days);
  if (those.length < days) return null;
  return those.reduce((sum, [, , , , brings, costs]) => sum + brings - costs, 0);
}

export const money = (amount: number): string => amount.toFixed(Math.abs(amount) < 0.1 ? 3 : 2);

/** "leaves 1.20 USD (0.060 a bird)", "loses 2.10 USD (0.105 a bird)". */
export function perBird(left: number, birds: number, currency: string): string {
  const word = left < 0 ? 'loses' : 'leaves';
  return `${word} ${money(Math.abs(left) * birds)} ${currency} (${money(Math.abs(left))} a bird)`;
}

/** "the table ends at 56 days". */
export function worthRange(steps: Steps): string {
  const last = steps.at(-1);
  return last ? `the table ends at ${last[0]} days` : 'there is no table yet';
}
