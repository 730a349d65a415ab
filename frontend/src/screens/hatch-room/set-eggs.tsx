import { useState } from 'preact/hooks';
import {
  type Bodies,
  cages,
  lines,
  newId,
  refusal,
  settings,
  type TraySet,
  today,
  trays as trayRows,
  write,
} from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { TextField } from '../../parts/field.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';
import { go, type Params } from '../../parts/route.ts';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { traysIn } from './steps.ts';
import { TraySheet } from './tray-sheet.tsx';

const FIELDS = ['code', 'incubator', 'set_on'];

export const eggsIn = (tray: TraySet): number => tray.eggs.reduce((n, each) => n + each.eggs, 0);

/** Eggs put into an incubator together, tray by tray. Opened on a setting that stands, it is written again whole. */
export function SetEggs({ setting: id }: Params) {
  const now = id === undefined ? undefined : settings.value.get(id);
  const [code, setCode] = useState(now?.code ?? '');
  const [incubator, setIncubator] = useState(now?.incubator ?? '');
  const [setOn, setSetOn] = useState(now?.set_on ?? today.value);
  const [note, setNote] = useState(now?.note ?? '');
  const [trays, setTrays] = useState<TraySet[]>(() =>
    now
      ? traysIn(trayRows.value, now.id).map((t) => ({
          tray: t.id,
          name: t.name,
          line: t.line,
          cage: t.cage,
          eggs: t.laid,
        }))
      : [],
  );
  const [editing, setEditing] = useState<TraySet | 'new' | null>(null);
  const { wrong, field, busy, run, setWrong } = useWriting();
  const at = (f: string) => (field === f ? wrong : null);
  const eggs = trays.reduce((n, tray) => n + eggsIn(tray), 0);

  const keep = () => {
    const body: Bodies['eggs_set'] = {
      setting: now?.id ?? newId(),
      code: code.trim(),
      incubator: incubator.trim(),
      set_on: setOn,
      trays,
      note,
    };
    const no = refusal('eggs_set', body);
    if (no) setWrong(no.detail, no.field);
    else
      void run(() => write('eggs_set', body)).then(
        (done) => done && go(`/setting/${body.setting}`, 'replace'),
      );
  };
  const put = (tray: TraySet) => {
    setTrays(
      trays.some((t) => t.tray === tray.tray)
        ? trays.map((t) => (t.tray === tray.tray ? tray : t))
        : [...trays, tray],
    );
    setEditing(null);
  };
  const freeName = () => {
    let n = trays.length + 1;
    while (trays.some((t) => t.name === String(n))) n++;
    return String(n);
  };

  return (
    <BookPage
      title={now ? `Setting ${now.code}` : 'Set eggs'}
      back={
        now ? { href: `/setting/${now.id}`, name: now.code } : { href: '/hatch-room', name: 'Hatch room' }
      }
    >
      <div class="spread">
        <section class="stack">
          <h2>
            Trays <small class="quiet">{amount(eggs, 'egg')}</small>
          </h2>
          {trays.length === 0 ? (
            <p class="quiet">A tray has one source: a cage, or a line's eggs of no one cage.</p>
          ) : (
            <Ledger narrow label="Trays">
              {trays.map((tray) => (
                <Row
                  key={tray.tray}
                  margin={<b>{tray.name}</b>}
                  end={
                    <Button
                      kind="quiet"
                      onClick={() => setEditing(tray)}
                      aria-label={`Change tray ${tray.name}`}
                    >
                      Change
                    </Button>
                  }
                >
                  <strong>{amount(eggsIn(tray), 'egg')}</strong>
                  <small>{sourceWords(tray)}</small>
                </Row>
              ))}
            </Ledger>
          )}
          <Button onClick={() => setEditing('new')}>
            {trays.length === 0 ? 'First tray' : 'One more tray'}
          </Button>
        </section>
        <section class="stack">
          <TextField
            label="Code"
            value={code}
            onText={setCode}
            maxLength={20}
            hint="As on the incubator's card: 26-40, for instance."
            wrong={at('code')}
          />
          <TextField
            label="Incubator"
            value={incubator}
            onText={setIncubator}
            maxLength={40}
            hint="May be left empty."
            wrong={at('incubator')}
          />
          <TextField label="Set on" type="date" value={setOn} onText={setSetOn} wrong={at('set_on')} />
          <TextField label="Note" value={note} onText={setNote} maxLength={500} />
        </section>
      </div>
      {wrong !== null && !FIELDS.includes(field ?? '') && (
        <Notice kind="refused">
          <p>{wrong}</p>
        </Notice>
      )}
      <Button
        kind="main"
        disabled={busy || code.trim() === '' || trays.length === 0 || setOn === ''}
        onClick={keep}
      >
        {trays.length === 0
          ? 'A tray first'
          : code.trim() === ''
            ? 'A code first'
            : `Set ${amount(eggs, 'egg')}`}
      </Button>
      {editing !== null && (
        <TraySheet
          tray={editing === 'new' ? null : editing}
          name={editing === 'new' ? freeName() : editing.name}
          setOn={setOn}
          onClose={() => setEditing(null)}
          onTray={put}
          onDrop={
            editing === 'new'
              ? undefined
              : () => {
                  setTrays(trays.filter((t) => t.tray !== editing.tray));
                  setEditing(null);
                }
          }
        />
      )}
    </BookPage>
  );
}

/** "from cage A3, Moorland heavy". */
export function sourceWords({ cage, line }: Pick<TraySet, 'cage' | 'line'>): string {
  const name = lines.value.find((l) => l.id === line)?.name ?? 'a line not here yet';
  const code = cages.value.find((c) => c.id === cage)?.code;
  return cage === null ? `${name}, of no one cage` : `from cage ${code ?? '(not here yet)'}, ${name}`;
}
