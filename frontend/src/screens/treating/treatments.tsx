import { useState } from 'preact/hooks';
import {
  type BroodRow,
  type CageRow,
  type LineRow,
  me,
  today,
  type WithdrawalRow,
  withdrawals,
} from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { dayAfter, showDay } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Treated } from './treated.tsx';

const STILL_SHOWN_DAYS = 14;

interface Of {
  cage?: CageRow;
  brood?: BroodRow;
  line?: LineRow;
}

/** Not over: still given, or something waits for it; and for two weeks after. */
export function isRecent(row: WithdrawalRow, day: string): boolean {
  const ends = [row.last_day, row.eggs_until, row.meat_until].filter((each) => each !== null).sort();
  const last = row.last_day === null ? null : ends.at(-1);
  return last === null || last === undefined || dayAfter(last, STILL_SHOWN_DAYS) >= day;
}

/** The treatments of a cage, a brood or a line that are not long over; the owner changes or ends them here. */
export function Treatments({ cage, brood, line }: Of) {
  const [changed, setChanged] = useState<WithdrawalRow | null>(null);
  const subject = cage ? `cage/${cage.id}` : brood ? `brood/${brood.id}` : `line/${line?.id}`;
  const rows = [...withdrawals.value.values()]
    .filter((row) => row.subject === subject && isRecent(row, today.value))
    .sort((a, b) => b.first_day.localeCompare(a.first_day));
  if (rows.length === 0) return null;
  const of = { ...(cage && { cage }), ...(brood && { brood }), ...(line && { line }) };
  return (
    <section class="stack">
      <h2>Treatments</h2>
      <Ledger narrow label="Treatments">
        {rows.map((row) => (
          <Row
            key={row.id}
            margin={<small>{showDay(row.first_day, today.value)}</small>}
            end={
              me.value?.role === 'owner' && (
                <Button
                  kind="quiet"
                  onClick={() => setChanged(row)}
                  aria-label={`Change the treatment ${row.what}`}
                >
                  Change
                </Button>
              )
            }
          >
            <strong>{row.what}</strong>
            <small>{spanWords(row)}</small>
          </Row>
        ))}
      </Ledger>
      {changed && <Treated {...of} before={changed} onClose={() => setChanged(null)} />}
    </section>
  );
}

function spanWords({ first_day, last_day, eggs_until, meat_until }: WithdrawalRow): string {
  const day = (text: string) => showDay(text, today.value);
  return [
    last_day === null ? `from ${day(first_day)}, not ended` : `${day(first_day)} to ${day(last_day)}`,
    eggs_until === null ? '' : `eggs until ${day(eggs_until)}`,
    meat_until === null ? '' : `meat until ${day(meat_until)}`,
  ]
    .filter(Boolean)
    .join('; ');
}
