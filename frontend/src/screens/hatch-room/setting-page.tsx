import { useState } from 'preact/hooks';
import {
  broods,
  lines,
  me,
  type SettingRow,
  settings,
  type TrayRow,
  today,
  trays,
  write,
} from '../../book/index.ts';
import { showDistance } from '../../parts/ages.ts';
import { amount, amounts } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { showDay } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import type { Params } from '../../parts/route.ts';
import '../cage/cage.css';
import { EntriesOf } from '../entries/entries-of.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { FiguresOf } from '../frame/figures-of.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { Incubator } from './incubator.tsx';
import { sourceWords } from './set-eggs.tsx';
import {
  broodsFrom,
  daysOf,
  dayWords,
  fertileOf,
  STEP_WORDS,
  traysIn,
  type Where,
  whereIs,
} from './steps.ts';
import { Candle, Hatch } from './tray-leaves.tsx';

const HATCH_FIGURES = ['fertility', 'hatch_of_fertile', 'hatch_of_set'];

type Leaf = { what: 'candle' | 'hatch'; tray: string } | { what: 'incubator' } | null;

/** One setting: which day it is, its trays with what was found in each, and what is to be done next. */
export function SettingPage({ setting: id }: Params) {
  const [leaf, setLeaf] = useState<Leaf>(null);
  const setting = settings.value.get(id ?? '');
  const back = { href: '/hatch-room', name: 'Hatch room' };
  if (!setting)
    return (
      <BookPage title="Setting" back={back}>
        <p>This setting is not on the phone yet. It comes with the next sync.</p>
      </BookPage>
    );
  const its_trays = traysIn(trays.value, setting.id);
  const days = daysOf(its_trays, lines.value);
  const where = whereIs(setting, days, today.value);
  const mayWrite = me.value?.role !== 'onlooker';
  const on = leaf && leaf.what !== 'incubator' && its_trays.find((t) => t.id === leaf.tray);
  return (
    <BookPage title={`Setting ${setting.code}`} back={back}>
      <div class="spread">
        <div>
          <Standing setting={setting} where={where} />
          <section class="stack">
            <h2>Trays</h2>
            <Ledger narrow label="Trays">
              {its_trays.map((tray) => (
                <Row
                  key={tray.id}
                  margin={<b>{tray.name}</b>}
                  end={mayWrite && <TrayButton tray={tray} where={where} onLeaf={setLeaf} />}
                >
                  <strong>
                    {amount(tray.eggs, 'egg')} {sourceWords(tray)}
                  </strong>
                  <small>{laidWords(tray)}</small>
                  {tray.candled_on !== null && <span>{candledWords(tray)}</span>}
                  {tray.hatched_on !== null && <span>{hatchedWords(tray)}</span>}
                  {tray.left < 0 && (
                    <b class="late">More was taken out than was set: strike what is wrong.</b>
                  )}
                </Row>
              ))}
            </Ledger>
          </section>
          {mayWrite && (
            <Doings setting={setting} where={where} onGauges={() => setLeaf({ what: 'incubator' })} />
          )}
          <FiguresOf subject={`setting/${setting.id}`} title="Fertility and hatch" names={HATCH_FIGURES} />
        </div>
        <div>
          <EntriesOf subject={`setting/${setting.id}`} since={setting.set_on} />
        </div>
      </div>
      {leaf?.what === 'incubator' && <Incubator setting={setting} onClose={() => setLeaf(null)} />}
      {leaf?.what === 'candle' && on && <Candle tray={on} onClose={() => setLeaf(null)} />}
      {leaf?.what === 'hatch' && on && <Hatch tray={on} onClose={() => setLeaf(null)} />}
    </BookPage>
  );
}

function Standing({ setting, where }: { setting: SettingRow; where: Where }) {
  const late = where.next_on !== null && where.next_on < today.value;
  const dead = setting.hatched_trays > 0;
  return (
    <section class="standing">
      <dl>
        <div>
          <dt>Day</dt>
          <dd>{where.day}</dd>
        </div>
        <div>
          <dt>Eggs</dt>
          <dd>{setting.eggs}</dd>
        </div>
        <div>
          <dt>{dead ? 'Hatched' : 'Trays'}</dt>
          <dd>{dead ? setting.hatched : setting.trays}</dd>
        </div>
      </dl>
      <p>
        Set {showDay(setting.set_on, today.value)}
        {setting.incubator !== '' && `, incubator ${setting.incubator}`}: {dayWords(where)}.
        {where.next_on !== null && (
          <>
            {' '}
            Next:{' '}
            <b class={late ? 'late' : undefined}>
              {STEP_WORDS[where.next].toLowerCase()} {showDay(where.next_on, today.value)},{' '}
              {showDistance(where.next_on, today.value)}
            </b>
            .
          </>
        )}
        {setting.locked_down_on !== null && (
          <>
            <br />
            Locked down {showDay(setting.locked_down_on, today.value)}.
          </>
        )}
      </p>
      {setting.chicks_seen > setting.hatched && setting.hatched_trays > 0 && (
        <p class="late">
          {setting.chicks_seen} chicks were looked at, but {setting.hatched} are written as hatched. One of
          the two is wrong: see the entries.
        </p>
      )}
      {setting.note !== '' && <p>{setting.note}</p>}
      {broodsFrom(broods.value, setting.id).map((brood) => (
        <a key={brood.id} href={`/brood/${brood.id}`}>
          Brood {brood.code}: {amount(brood.chicks, 'chick')}
        </a>
      ))}
    </section>
  );
}

function TrayButton({ tray, where, onLeaf }: { tray: TrayRow; where: Where; onLeaf: (leaf: Leaf) => void }) {
  const hatching = where.next === 'hatch' || where.next === 'chicks' || where.next === 'done';
  const what = hatching ? 'hatch' : 'candle';
  const again = (hatching ? tray.hatched_on : tray.candled_on) !== null;
  const name = hatching ? 'Hatch' : 'Candle';
  return (
    <Button
      kind={again ? 'quiet' : 'plain'}
      onClick={() => onLeaf({ what, tray: tray.id })}
      aria-label={`${name} tray ${tray.name}${again ? ' again' : ''}`}
    >
      {again ? 'Again' : name}
    </Button>
  );
}

function Doings({ setting, where, onGauges }: { setting: SettingRow; where: Where; onGauges: () => void }) {
  const { wrong, busy, run } = useWriting();
  const open = setting.locked_down_on === null && setting.hatched_trays === 0;
  return (
    <>
      {wrong !== null && <p class="late">{wrong}</p>}
      <div class="doings">
        {open && (
          <Button
            kind={where.next === 'lockdown' ? 'main' : 'plain'}
            disabled={busy}
            onClick={() => run(() => write('lockdown', { setting: setting.id, note: '' }))}
          >
            Lock down
          </Button>
        )}
        <Button onClick={onGauges}>Incubator’s gauges</Button>
        {setting.hatched > 0 && (
          <a class="button main" href={`/setting/${setting.id}/chicks`}>
            Chicks one by one
          </a>
        )}
        {setting.hatched_trays === 0 && (
          <a class="button plain" href={`/hatch-room/set/${setting.id}`}>
            Change what was set
          </a>
        )}
      </div>
    </>
  );
}

function laidWords(tray: TrayRow): string {
  const days = tray.laid.flatMap(({ laid_on }) => laid_on ?? []).sort();
  const unknown = tray.laid.find(({ laid_on }) => laid_on === null)?.eggs ?? 0;
  const [first, last] = [days[0], days.at(-1)];
  const known =
    first === undefined || last === undefined
      ? ''
      : first === last
        ? `laid ${showDay(first, today.value)}`
        : `laid ${showDay(first, today.value)} to ${showDay(last, today.value)}`;
  return [known, unknown > 0 ? `${unknown} of a day not known` : ''].filter(Boolean).join(', ');
}

function candledWords(tray: TrayRow): string {
  const found = amounts([
    [tray.clear, 'clear', 'clear'],
    [tray.dead_early, 'dead early', 'dead early'],
    [tray.unread, 'not read', 'not read'],
    [tray.broken, 'broken', 'broken'],
    [tray.removed, 'taken out', 'taken out'],
  ]);
  const fertile = fertileOf(tray);
  return [
    `Candled: ${found === '' ? 'all alive' : found}`,
    fertile ? `${fertile.fertile} fertile of ${fertile.read} read` : '',
    `${tray.left} in it`,
  ]
    .filter(Boolean)
    .join('; ');
}

const hatchedWords = (tray: TrayRow): string =>
  [
    `${tray.hatched} hatched of ${tray.eggs} set`,
    tray.pipped_dead > 0 ? `${tray.pipped_dead} pipped and dead` : '',
    tray.dead_in_shell > 0 ? `${tray.dead_in_shell} dead in shell` : '',
  ]
    .filter(Boolean)
    .join(', ');
