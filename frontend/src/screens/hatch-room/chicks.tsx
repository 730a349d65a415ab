import { useState } from 'preact/hooks';
import {
  type BroodRow,
  broods,
  type LineRow,
  lines,
  me,
  newId,
  type SettingRow,
  settings,
  today,
  trays,
  write,
} from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { knock, useAwake } from '../../parts/awake.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { CountField, TextField } from '../../parts/field.tsx';
import { LastLine } from '../../parts/last-line.tsx';
import { Notice } from '../../parts/notice.tsx';
import type { Params } from '../../parts/route.ts';
import { Sheet } from '../../parts/sheet.tsx';
import { usePressGuard } from '../../parts/use-press-guard.ts';
import { BookPage } from '../frame/book-page.tsx';
import { useLast } from '../frame/use-last.ts';
import { useWriting } from '../frame/use-writing.ts';
import './hatch-room.css';
import { broodsFrom, traysIn } from './steps.ts';

/** The chicks of a hatch by plumage class, one tap each; a brood comes of it. */
export function Chicks({ setting: id }: Params) {
  useAwake();
  const setting = settings.value.get(id ?? '');
  const [chosen, setChosen] = useState<string | null>(null);
  const back = {
    href: setting ? `/setting/${setting.id}` : '/hatch-room',
    name: setting?.code ?? 'Hatch room',
  };
  if (!setting)
    return (
      <BookPage title="Chicks" back={back}>
        <p>This setting is not on the phone yet. It comes with the next sync.</p>
      </BookPage>
    );
  const its_trays = traysIn(trays.value, setting.id);
  const of_lines = [...new Set(its_trays.map((t) => t.line))];
  const line_id = of_lines.length > 1 ? chosen : (of_lines[0] ?? null);
  const line = lines.value.find((l) => l.id === line_id);
  const brood = broodsFrom(broods.value, setting.id).find((b) => b.line === line_id);
  const its = its_trays.filter((t) => t.line === line_id);
  return (
    <BookPage tool title={brood ? `Chicks of ${brood.code}` : `Chicks of ${setting.code}`} back={back}>
      {of_lines.length > 1 && (
        <Choice
          label="Which line?"
          value={line_id}
          onChoose={setChosen}
          options={of_lines.map((l) => ({
            value: l,
            name: lines.value.find((each) => each.id === l)?.name ?? 'a line not here yet',
          }))}
        />
      )}
      {line && !brood && <NewBrood setting={setting} line={line} trays={its.map((t) => t.id)} />}
      {line && brood && (
        <Looking
          key={brood.id}
          setting={setting}
          brood={brood}
          line={line}
          hatched={its.reduce((n, t) => n + t.hatched, 0)}
        />
      )}
    </BookPage>
  );
}

function NewBrood({ setting, line, trays: of }: { setting: SettingRow; line: LineRow; trays: string[] }) {
  const [code, setCode] = useState(setting.code);
  const [hatched, setHatched] = useState(today.value);
  const { wrong, busy, run } = useWriting();
  return (
    <section class="stack">
      <p>
        The brood that comes of this hatch: {line.name}, with the hens and cocks of its source cages for
        parents.
      </p>
      {setting.hatched === 0 && (
        <p class="late">
          No hatch of this setting is written yet. Write what hatched in each tray first, on its page.
        </p>
      )}
      <TextField label="Code of the brood" value={code} onText={setCode} maxLength={20} />
      <TextField label="Hatched on" type="date" value={hatched} onText={setHatched} />
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button
        kind="main"
        disabled={busy || code.trim() === '' || hatched === ''}
        onClick={() =>
          run(() =>
            write('brood_hatched', {
              brood: newId(),
              setting: setting.id,
              trays: of,
              line: line.id,
              code: code.trim(),
              hatched_on: hatched,
              note: '',
            }),
          )
        }
      >
        Begin the brood
      </Button>
    </section>
  );
}

interface LookingProps {
  setting: SettingRow;
  brood: BroodRow;
  line: LineRow;
  hatched: number;
}

function Looking({ setting, brood, line, hatched }: LookingProps) {
  const guard = usePressGuard();
  const [many, setMany] = useState(false);
  const { last, wrong, writing, put, undoLast } = useLast<null>();
  const mayWrite = me.value?.role !== 'onlooker';
  const seen = Object.values(brood.plumage).reduce((n, each) => n + each, 0);
  const classes: { key: string | null; words: string; is_type: boolean }[] = [
    ...line.plumage,
    { key: null, words: line.plumage.length === 0 ? 'a chick' : 'not looked at', is_type: false },
  ];
  const tap = async (plumage: string | null, words: string, chicks = 1) => {
    const said = chicks === 1 ? words : `${chicks} ${words}`;
    const body = { brood: brood.id, setting: setting.id, plumage, chicks };
    if (await put({ where: null, at: 'Chick', said, more: '' }, () => write('chicks_seen', body))) knock();
  };
  const left = hatched - seen;
  return (
    <div class="spread">
      <section class="stack">
        <p>
          <b>{seen}</b>{' '}
          {hatched === 0
            ? 'looked at; no hatch of its trays is written yet.'
            : `of ${hatched} hatched looked at${left > 0 ? `; ${left} left.` : left === 0 ? ': every chick.' : '.'}`}
        </p>
        {left < 0 && hatched > 0 && (
          <p class="late">
            {-left} more than are written as hatched. Undo, or write the hatch again: both stay until one is
            struck.
          </p>
        )}
        {wrong !== null && (
          <Notice kind="refused">
            <p>{wrong}</p>
          </Notice>
        )}
        <LastLine last={last} onUndo={() => void undoLast()}>
          Take the next chick in the hand.
        </LastLine>
        <div class="classes" onPointerDown={(e) => guard.down(e.pointerId)}>
          {classes.map(({ key, words, is_type }) => (
            <button
              key={key ?? ''}
              type="button"
              class="key"
              disabled={!mayWrite || writing}
              aria-label={`${words}, ${brood.plumage[key ?? ''] ?? 0} so far`}
              onClick={() => {
                if (guard.take()) void tap(key, words);
              }}
            >
              <span>{words}</span>
              <small>{is_type ? 'the type' : key === null ? '' : 'off-type'}</small>
              <b>{brood.plumage[key ?? ''] ?? 0}</b>
            </button>
          ))}
        </div>
        {mayWrite && <Button onClick={() => setMany(true)}>Several at once</Button>}
        {line.plumage.length === 0 && (
          <p class="quiet">
            {line.name} has no plumage classes yet. The owner writes them on{' '}
            <a href={`/set-up/line/${line.id}`}>the line</a>.
          </p>
        )}
      </section>
      <section class="stack">
        <a class="button plain" href={`/brood/${brood.id}`}>
          Brood {brood.code}: {amount(brood.alive, 'bird')} alive
        </a>
      </section>
      {many && (
        <Many
          classes={classes}
          most={Math.max(1, left)}
          onClose={() => setMany(false)}
          onMany={(key, words, n) => {
            setMany(false);
            void tap(key, words, n);
          }}
        />
      )}
    </div>
  );
}

interface ManyProps {
  classes: { key: string | null; words: string }[];
  most: number;
  onClose: () => void;
  onMany: (key: string | null, words: string, chicks: number) => void;
}

function Many({ classes, most, onClose, onMany }: ManyProps) {
  const [at, setAt] = useState('0');
  const [chicks, setChicks] = useState(most);
  const one = classes[Number(at)];
  return (
    <Sheet title="Several chicks at once" onClose={onClose}>
      <Choice
        label="Plumage"
        value={at}
        stacked
        onChoose={setAt}
        options={classes.map(({ words }, n) => ({ value: String(n), name: words }))}
      />
      <CountField label="Chicks" value={chicks} onCount={setChicks} />
      <Button
        kind="main"
        disabled={chicks === 0 || !one}
        onClick={() => one && onMany(one.key, one.words, chicks)}
      >
        {amount(chicks, 'chick')}
      </Button>
    </Sheet>
  );
}
