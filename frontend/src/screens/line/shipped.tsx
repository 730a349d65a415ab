import { type FigureRow, figures, type LineRow } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { FiguresOf } from '../frame/figures-of.tsx';

/** How a line's eggs hatched at customers'; never pooled with hatches at home. Nothing, until some were sent. */
export function ShippedOf({ line }: { line: LineRow }) {
  const subject = `shipped/${line.id}` as const;
  const of_it = figures.value.get(subject) ?? [];
  if (of_it.length === 0) return null;
  const reported = of_it.find((f) => f.name === 'shipments_reported');
  const age = of_it.find((f) => f.name === 'shipped_hatch_by_egg_age');
  return (
    <>
      <FiguresOf
        subject={subject}
        title="Shipped eggs"
        names={['shipped_hatch_of_sent', 'shipped_hatch_of_set', 'broken_in_transit']}
      />
      {age?.value != null && <p>{ageWords(age)}</p>}
      {reported && <p>{reportedWords(reported)}</p>}
    </>
  );
}

/** "9 of 12 shipments were told of. ..." */
export function reportedWords({ value, n, left_out }: FigureRow): string {
  const young = left_out.find((l) => l.why === 'hatch_not_due_yet')?.count ?? 0;
  const waiting = young > 0 ? ` ${amount(young, 'shipment')} may not have hatched yet.` : '';
  if (value === null) return `Nothing is told yet.${waiting}`;
  return `${Math.round(value * n)} of ${amount(n, 'shipment')} ${n === 1 ? 'was' : 'were'} told of.${waiting} Those who report may not be like those who do not: take it as what was told, not as what everybody will see.`;
}

const percent = (slope: number) => {
  const change = (Math.exp(slope) - 1) * 100;
  return `${change < 0 ? '−' : '+'}${Math.abs(change).toFixed(0)} %`;
};

/** Limits further apart than this say nothing that anybody could decide by (our bound; e to the 2 is sevenfold). */
const WIDEST_LOG_ODDS = 2;

/** The odds of hatching for each day that the eggs were older when they went. */
export function ageWords({ value, low, high, n }: FigureRow): string {
  if (low !== null && high !== null && high - low > WIDEST_LOG_ODDS)
    return 'Whether older eggs hatch less at customers’ cannot be told yet: they were all about as old when sent.';
  const between = low === null || high === null ? '' : ` (95 %: ${percent(low)} to ${percent(high)})`;
  return `Each day older when sent: odds of hatching ${percent(value as number)}${between}, n = ${amount(n, 'egg')}. It holds for this store's temperature.`;
}
