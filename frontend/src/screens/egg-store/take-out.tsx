import { useState } from 'preact/hooks';
import { cages, type EggsOutHow, type Subject, write } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { showWeekday } from '../../parts/days.ts';
import { CountField, TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { WaitNotice } from '../withdrawal/wait-notice.tsx';
import type { Shelf } from './shelf.ts';

const HOW: { value: EggsOutHow; name: string }[] = [
  { value: 'eaten', name: 'Eaten' },
  { value: 'sold_to_eat', name: 'Sold to eat' },
  { value: 'thrown_away', name: 'Thrown away' },
];

export const subjectsOfLine = (line: string): Subject[] => [
  `line/${line}`,
  ...cages.value.filter((c) => c.line === line).map((c): Subject => `cage/${c.id}`),
];

/** Eggs taken out for good, the oldest on top. Beyond what is there they are taken all the same, and asked about. */
export function TakeOut({ shelf, onClose }: { shelf: Shelf; onClose: () => void }) {
  const [how, setHow] = useState<EggsOutHow | null>(null);
  const [taken, setTaken] = useState<Record<string, number>>({});
  const [note, setNote] = useState('');
  const { wrong, busy, run } = useWriting();
  const days = shelf.days.filter((day) => day.left > 0);
  const total = Object.values(taken).reduce((n, each) => n + each, 0);
  const held = days.some((day) => (taken[day.laid_on] ?? 0) > day.left - day.withheld);
  const all = (past: boolean) =>
    setTaken(Object.fromEntries(days.filter((d) => !past || d.past).map((d) => [d.laid_on, d.left])));
  const keep = () =>
    void run(() =>
      write('eggs_out', {
        how: how as EggsOutHow,
        eggs: days
          .filter((day) => (taken[day.laid_on] ?? 0) > 0)
          .map((day) => ({ line: shelf.line.id, laid_on: day.laid_on, eggs: taken[day.laid_on] ?? 0 })),
        note,
      }),
    ).then((done) => done && onClose());
  return (
    <Sheet title={`${shelf.line.name}: take eggs out`} onClose={onClose}>
      <Choice label="What becomes of them" stacked value={how} options={HOW} onChoose={setHow} />
      {how !== null && how !== 'thrown_away' && (
        <>
          <WaitNotice of="eggs" subjects={subjectsOfLine(shelf.line.id)} />
          {held && (
            <Notice kind="refused">
              <p>
                Among these are eggs laid within a withdrawal span. They are neither sold nor eaten, also when
                the span is over. Ask the veterinarian who set it.
              </p>
            </Notice>
          )}
          {how === 'sold_to_eat' && (
            <p class="quiet">
              Selling eggs to eat is under local rules on marking, chilling and age: go by them.
            </p>
          )}
        </>
      )}
      <h3>
        By day laid <small class="quiet">{amount(total, 'egg')}</small>
      </h3>
      <div class="side-by-side">
        {shelf.past > 0 && <Button onClick={() => all(true)}>All past their days</Button>}
        <Button onClick={() => all(false)}>All</Button>
      </div>
      {days.map((day) => (
        <CountField
          key={day.laid_on}
          label={showWeekday(day.laid_on)}
          hint={`${day.left} there, ${amount(day.age_days, 'day')} old`}
          value={taken[day.laid_on] ?? 0}
          most={999}
          onCount={(n) => setTaken({ ...taken, [day.laid_on]: n })}
        />
      ))}
      <TextField label="Note" value={note} onText={setNote} maxLength={500} />
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={how === null || total === 0 || busy} onClick={keep}>
        {how === null
          ? 'Say what becomes of them'
          : total === 0
            ? 'At least one egg'
            : `Take ${amount(total, 'egg')} out`}
      </Button>
    </Sheet>
  );
}
