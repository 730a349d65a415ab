import { useMemo, useState } from 'preact/hooks';
import { type Bodies, type EntryView, entriesOf, inWords, isOf, today } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { showDay } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { StrikeSheet } from '../entries/entries-of.tsx';
import { mayStrike } from '../frame/may-strike.ts';
import { who } from '../frame/who.ts';

type Told = EntryView & { body: Bodies['lights_and_heat'] };

const FIRST = 3;

/** What was last written of the light and warmth that this cage has: of its row, or of the whole barn. */
export function LightsNow({ row }: { row: string }) {
  const of_row = useMemo(() => entriesOf(`row/${row}`), [row]).value ?? [];
  const of_barn = useMemo(() => entriesOf('row/'), []).value ?? [];
  const [striking, setStriking] = useState<EntryView | null>(null);
  const told = [...of_row, ...of_barn]
    .filter((e): e is Told => isOf(e, 'lights_and_heat') && !e.struck && e.place !== 'aside')
    .sort((a, b) => b.day.localeCompare(a.day) || b.stamp - a.stamp)
    .slice(0, FIRST);
  if (told.length === 0) return null;
  return (
    <section class="stack">
      <h2>Light and warmth</h2>
      <Ledger narrow label="Light and warmth, newest first">
        {told.map((entry) => (
          <Row
            key={entry.id}
            margin={<small>{entry.day === today.value ? 'today' : showDay(entry.day, today.value)}</small>}
            end={
              mayStrike(entry) && (
                <Button
                  kind="quiet"
                  onClick={() => setStriking(entry)}
                  aria-label={`Strike: ${inWords(entry)}`}
                >
                  Strike
                </Button>
              )
            }
          >
            <strong>{measured(entry.body)}</strong>
            <small>
              {entry.body.row === null ? 'the whole barn' : `row ${row}`}, {who(entry.author)}
              {entry.body.note && `: ${entry.body.note}`}
            </small>
          </Row>
        ))}
      </Ledger>
      {striking && <StrikeSheet entry={striking} onClose={() => setStriking(null)} />}
    </section>
  );
}

const measured = ({ light_hours, temperature_c }: Bodies['lights_and_heat']): string =>
  [
    light_hours === null ? '' : `${light_hours} h of light a day`,
    temperature_c === null ? '' : `${temperature_c} °C`,
  ]
    .filter(Boolean)
    .join(', ');
