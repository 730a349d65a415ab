import type { Id } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { CageStrip } from '../../parts/cage-strip.tsx';
import type { Stop, Sum } from './walk.ts';

interface Props {
  stops: Stop[];
  here: Id | null;
  onJump: (cage: Id) => void;
  sum: Sum;
}

/** The left page, where there is room for one: every row of cages with what was counted, as it hangs in the barn. */
export function BarnMap({ stops, here, onJump, sum }: Props) {
  const rows = [...new Set(stops.map((stop) => stop.row))];
  return (
    <section class="barn-map" aria-label="All rows">
      <p class="total">
        <b>{amount(sum.eggs, 'egg')}</b> from {amount(sum.counted, 'cage')} so far
      </p>
      {rows.map((row) => {
        const of_row = stops.filter((stop) => stop.row === row);
        const eggs = of_row.reduce((n, stop) => n + (stop.count ?? 0), 0);
        return (
          <div key={row}>
            <h3>
              Row {row}
              <small> {amount(eggs, 'egg')}</small>
            </h3>
            <CageStrip cages={of_row} here={here} onJump={onJump} label={`Cages of row ${row}`} wrap />
          </div>
        );
      })}
    </section>
  );
}
