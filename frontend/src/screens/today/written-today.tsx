import { useMemo } from 'preact/hooks';
import { entriesOn, inWords, today } from '../../book/index.ts';
import { showTime } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { who } from '../frame/who.ts';

/** What was written today and by whom, newest first: the left page of the open book. */
export function WrittenToday() {
  const entries = useMemo(() => entriesOn(today.value), [today.value]).value?.slice(0, 8) ?? [];
  if (entries.length === 0) return null;
  return (
    <section class="stack">
      <h2>Written today</h2>
      <Ledger label="Written today, newest first">
        {entries.map((entry) => (
          <Row key={entry.id} margin={showTime(entry.stamp)} struck={entry.struck !== null}>
            <span>{inWords(entry)}</span>
            <small>{who(entry.author)}</small>
          </Row>
        ))}
      </Ledger>
    </section>
  );
}
