import { useState } from 'preact/hooks';
import { cages, type Day, eggStore, lines, newId, type TraySet } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { dayAfter, showWeekday } from '../../parts/days.ts';
import { CountField, PickField, TextField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';

interface Props {
  tray: TraySet | null;
  name: string;
  setOn: Day;
  onClose: () => void;
  onTray: (tray: TraySet) => void;
  onDrop: (() => void) | undefined;
}

const UNKNOWN = 'unknown';

/** The eggs of one tray by the day they were laid. Older than the line keeps them, it says so and takes them all the same. */
export function TraySheet({ tray, name: free, setOn, onClose, onTray, onDrop }: Props) {
  const open = cages.value.filter((c) => !c.closed && c.line !== null);
  const [source, setSource] = useState(
    tray ? (tray.cage === null ? `line/${tray.line}` : `cage/${tray.cage}`) : '',
  );
  const [name, setName] = useState(tray?.name ?? free);
  const [laid, setLaid] = useState<Record<string, number>>(() =>
    Object.fromEntries((tray?.eggs ?? []).map((each) => [each.laid_on ?? UNKNOWN, each.eggs])),
  );
  const [back, setBack] = useState(() =>
    Math.max(6, ...(tray?.eggs ?? []).map(({ laid_on }) => daysBack(setOn, laid_on))),
  );
  const [table, id] = source.split('/');
  const cage = table === 'cage' ? open.find((c) => c.id === id) : undefined;
  const line = lines.value.find((l) => l.id === (cage?.line ?? (table === 'line' ? id : tray?.line)));
  const days = Array.from({ length: back + 1 }, (_, n) => dayAfter(setOn, -n));
  const limit = line?.storage_limit_days ?? 7;
  const total = Object.values(laid).reduce((n, each) => n + each, 0);
  const old = days.reduce((n, day, at) => n + (at > limit ? (laid[day] ?? 0) : 0), 0);
  const keep = () =>
    line &&
    onTray({
      tray: tray?.tray ?? newId(),
      name: name.trim(),
      line: line.id,
      cage: cage?.id ?? (table === 'cage' ? (id ?? null) : null),
      eggs: [...days, UNKNOWN]
        .filter((day) => (laid[day] ?? 0) > 0)
        .map((day) => ({ laid_on: day === UNKNOWN ? null : day, eggs: laid[day] ?? 0 })),
    });
  return (
    <Sheet title={tray ? `Tray ${tray.name}` : 'A tray'} onClose={onClose}>
      <PickField
        label="Eggs of"
        value={source}
        onPick={setSource}
        options={[
          { value: '', name: 'Which cage or line?' },
          ...open.map((c) => ({
            value: `cage/${c.id}`,
            name: `${c.code}, ${lines.value.find((l) => l.id === c.line)?.name ?? ''}`,
          })),
          ...lines.value.map((l) => ({ value: `line/${l.id}`, name: `${l.name}, of no one cage` })),
        ]}
      />
      {cage && cage.cocks <= 0 && <p class="late">No cock stands in {cage.code}.</p>}
      <TextField label="Tray" beside value={name} onText={setName} maxLength={20} />
      <h3>
        Eggs by day laid <small class="quiet">{amount(total, 'egg')}</small>
      </h3>
      {days.map((day) => (
        <CountField
          key={day}
          label={showWeekday(day)}
          hint={inStore(line?.id, day)}
          value={laid[day] ?? 0}
          onCount={(n) => setLaid({ ...laid, [day]: n })}
        />
      ))}
      {back < 27 && <Button onClick={() => setBack(Math.min(27, back + 7))}>Older days</Button>}
      <CountField
        label="Day not known"
        value={laid[UNKNOWN] ?? 0}
        onCount={(n) => setLaid({ ...laid, [UNKNOWN]: n })}
      />
      {old > 0 && (
        <p class="late">
          {amount(old, 'egg')} older than the {limit} days that this line keeps eggs.
        </p>
      )}
      <Button kind="main" disabled={!line || total === 0 || name.trim() === ''} onClick={keep}>
        {!line ? 'Say whose eggs' : total === 0 ? 'At least one egg' : `${amount(total, 'egg')} in the tray`}
      </Button>
      {onDrop && (
        <Button kind="strike" onClick={onDrop}>
          Leave this tray out
        </Button>
      )}
    </Sheet>
  );
}

/** How many of the line's eggs of that day the store has. */
function inStore(line: string | undefined, day: Day): string | undefined {
  const left = eggStore.value.get(`${line}/${day}`)?.left ?? 0;
  return left > 0 ? `${left} of the line in the store` : undefined;
}

const daysBack = (setOn: Day, laid: Day | null): number =>
  laid === null ? 0 : Math.round((Date.parse(setOn) - Date.parse(laid)) / 86_400_000);
