import { useState } from 'preact/hooks';
import { today, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { dayAfter, showWeekday } from '../../parts/days.ts';
import { CountField, TextField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { limitOf, type Shelf } from './shelf.ts';

const MOST_DAYS = 200;

/** What is really in the store. It stands against all that was written before; days that stay as they are are not written. */
export function CountStore({ shelf, onClose }: { shelf: Shelf; onClose: () => void }) {
  const booked = new Map(shelf.days.map((day) => [day.laid_on, day.left]));
  const recent = Array.from({ length: limitOf(shelf.line) + 1 }, (_, n) => dayAfter(today.value, -n));
  const days = [...new Set([...recent, ...[...booked.keys()].sort().reverse()])].slice(0, MOST_DAYS);
  const [seen, setSeen] = useState<Record<string, number>>({});
  const [note, setNote] = useState('');
  const { wrong, busy, run } = useWriting();
  const older = days.filter((day) => !recent.includes(day));
  const now = (day: string) => seen[day] ?? Math.max(0, booked.get(day) ?? 0);
  const differ = days.filter((day) => seen[day] !== undefined && seen[day] !== booked.get(day));
  const keep = () =>
    void run(() =>
      write('store_seen', {
        eggs: differ.map((day) => ({ line: shelf.line.id, laid_on: day, eggs: now(day) })),
        note,
      }),
    ).then((done) => done && onClose());
  return (
    <Sheet title={`${shelf.line.name}: what is there`} onClose={onClose}>
      <p>Count the eggs of each day in the store. What you write stands against what the book had.</p>
      {older.length > 0 && (
        <Button onClick={() => setSeen({ ...seen, ...Object.fromEntries(older.map((day) => [day, 0])) })}>
          None laid before {showWeekday(recent.at(-1) ?? today.value)}
        </Button>
      )}
      {days.slice(0, recent.length + 14).map((day) => (
        <CountField
          key={day}
          label={showWeekday(day)}
          value={now(day)}
          onCount={(n) => setSeen({ ...seen, [day]: n })}
        />
      ))}
      <TextField label="Note" value={note} onText={setNote} maxLength={500} />
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={differ.length === 0 || busy} onClick={keep}>
        {differ.length === 0 ? 'As the book has it' : 'Write it down'}
      </Button>
    </Sheet>
  );
}
