/** What a carcass says: how clean it plucked, in words, and its share of the live weight. */

export const PLUCK: { value: string; name: string; detail: string }[] = [
  { value: '5', name: '5', detail: 'clean and whole' },
  { value: '4', name: '4', detail: 'a few pin feathers' },
  { value: '3', name: '3', detail: 'some pin feathers' },
  { value: '2', name: '2', detail: 'many pin feathers, or a small tear' },
  { value: '1', name: '1', detail: 'torn, or many feathers left' },
];

/** Dressed over live, as whole per cent; null until both are there. */
export function dressingShare(live_g: number | null, dressed_g: number | null): number | null {
  if (live_g === null || dressed_g === null || live_g <= 0) return null;
  return Math.round((dressed_g / live_g) * 100);
}

/** Published shares of Coturnix lie between these (Lukanov & Genchev 2018: skinless grill 55.5 to 62.4 %); with skin and
 *  giblets more. Far outside, a weight is more likely mistyped. */
const LEAST = 45;
const MOST = 90;

export function shareDoubt(share: number | null): string | null {
  if (share === null) return null;
  if (share > 100) return 'It dressed to more than it weighed alive. Look at both weights once more.';
  if (share < LEAST || share > MOST) return `${share} % is far from what a quail dresses to. Is it right?`;
  return null;
}
