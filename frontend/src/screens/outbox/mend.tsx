import { useState } from 'preact/hooks';
import { type Bodies, cages, type EntryView, inWords, type Kind, mend, today } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { PickField, TextField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';

type Body = Record<string, unknown>;

const NAMES: Record<string, string> = {
  eggs: 'Eggs',
  cracked: 'Cracked',
  soiled: 'Soiled',
  thin_shelled: 'Thin-shelled',
  hens: 'Hens',
  cocks: 'Cocks',
  unsexed: 'Unsexed',
  grams: 'Grams',
  place: 'Place in the walk',
  hatched_on: 'Hatched on',
  chicks: 'Chicks',
};
const nameOf = (field: string) =>
  NAMES[field] ?? field.replaceAll('_', ' ').replace(/^./, (c) => c.toUpperCase());
const isId = (value: unknown) => typeof value === 'string' && /^[0-9a-f]{8}-[0-9a-f-]{27}$/i.test(value);
const isMended = ([field, value]: [string, unknown]) =>
  field === 'cage' || ((typeof value === 'number' || typeof value === 'string') && !isId(value));

/** The same entry once more, with what was wrong put right: a new entry that names the old one. */
export function Mend({ entry, onClose }: { entry: EntryView; onClose: () => void }) {
  const [body, setBody] = useState<Body>({ ...(entry.body as unknown as Body) });
  const [day, setDay] = useState(entry.day);
  const { wrong, busy, field, run } = useWriting();
  const set = (name: string, value: unknown) => setBody((b) => ({ ...b, [name]: value }));
  const at = field ?? entry.reason?.field ?? null;
  const said = (name: string) => (at === name ? (wrong ?? entry.reason?.detail) : null);
  const keep = () =>
    run(() => mend(entry.id, entry.kind, body as unknown as Bodies[Kind], { day })).then(
      (done) => done && onClose(),
    );
  return (
    <Sheet title="Mend the entry" onClose={onClose}>
      <p>
        Written: <b>{inWords(entry)}</b>
      </p>
      <TextField
        label="Day"
        type="date"
        value={day}
        onText={setDay}
        hint={day > today.value ? 'A day not yet come.' : undefined}
        wrong={said('day')}
      />
      {Object.entries(body)
        .filter(isMended)
        .map(([name, value]) =>
          name === 'cage' ? (
            <PickField
              key={name}
              label="Cage"
              value={String(value)}
              wrong={said(name)}
              options={cages.value.map((c) => ({ value: c.id, name: c.code }))}
              onPick={(id) => set(name, id)}
            />
          ) : (
            <TextField
              key={name}
              label={nameOf(name)}
              value={String(value)}
              wrong={said(name)}
              inputMode={typeof value === 'number' ? 'decimal' : 'text'}
              onText={(text) =>
                set(name, typeof entry.body[name as never] === 'number' ? Number(text) : text)
              }
            />
          ),
        )}
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={busy} onClick={keep}>
        Write it again
      </Button>
    </Sheet>
  );
}
