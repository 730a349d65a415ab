import { useEffect, useState } from 'preact/hooks';
import { type BroodRow, cages, type ParentsRow, parentsOf } from '../../book/index.ts';

/** The hens and cocks that stood in the source cages on the days the eggs were laid; a span where it changed in between. */
export function Parents({ brood }: { brood: BroodRow }) {
  const [rows, setRows] = useState<ParentsRow[]>([]);
  const trays = brood.trays.join(' ');
  useEffect(() => {
    let here = true;
    if (trays !== '')
      parentsOf(trays.split(' ')).then(
        (found) => here && setRows(found),
        () => {}, // its source cages are named all the same
      );
    return () => {
      here = false;
    };
  }, [trays]);
  if (rows.length === 0) return null;
  return (
    <ul>
      {rows.map((row) => (
        <li key={row.id}>
          Parents, cage {cages.value.find((c) => c.id === row.cage)?.code ?? '(not here yet)'}:{' '}
          {span(row.hens_low, row.hens_high, 'hen')}, {span(row.cocks_low, row.cocks_high, 'cock')} on the
          days of lay
          {row.days_unknown > 0 && `; of ${row.days_unknown} of ${row.eggs} eggs nobody knows the day`}.
        </li>
      ))}
    </ul>
  );
}

function span(low: number | null, high: number | null, one: string): string {
  if (low === null || high === null) return `${one}s not known`;
  const many = high === 1 ? one : `${one}s`;
  return low === high ? `${high} ${many}` : `${low} to ${high} ${many}`;
}
