import { useMemo } from 'preact/hooks';
import {
  acceptUpdate,
  broods,
  cages,
  type DueRow,
  dues,
  farm,
  fetching,
  lines,
  me,
  orders,
  roundsOn,
  settings,
  shipments,
  today,
  trays,
  update,
} from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { showDay, showWeekday } from '../../parts/days.ts';
import { lazy } from '../../parts/lazy.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Page } from '../../parts/page.tsx';
import { wide } from '../../parts/wide.ts';
import { roundAt, sumUp, walk } from '../egg-round/walk.ts';
import { asOf } from '../frame/age.ts';
import { Lost } from '../frame/lost.tsx';
import { NotKept } from '../frame/not-kept.tsx';
import { duesInOrder, howLong, leftToPack } from './dues.ts';
import { Questions, QuestionsBelow } from './questions.tsx';
import './today.css';

const Contents = lazy(() => import('../frame/contents.tsx').then((m) => m.Contents));
const FellOff = lazy(() => import('./fell-off.tsx').then((m) => m.FellOff));
const ThisMorning = lazy(() => import('../orders/this-morning.tsx').then((m) => m.ThisMorning));
const WrittenToday = lazy(() => import('./written-today.tsx').then((m) => m.WrittenToday));

export function Today() {
  return (
    <Page title="Today" age={`${showWeekday(today.value)}, ${asOf()}`}>
      <Lost />
      <NotKept />
      {me.value?.farm.example && (
        <Notice>
          <p>
            <b>{me.value.farm.name}</b> is the example farm. Its place, people, lines and birds are invented:
            try everything.
          </p>
        </Notice>
      )}
      {update.value && (
        <Notice>
          <p>A newer Barnbook is on this phone. Nothing written is touched by it.</p>
          <Button onClick={acceptUpdate}>Open the newer one</Button>
        </Notice>
      )}
      <div class="spread">
        <div>
          <Rounds />
          {wide.value ? <Questions /> : <QuestionsBelow />}
          {wide.value && <WrittenToday />}
        </div>
        <div>
          <ThisMorning />
          <FellOff />
          <Dues />
          {!wide.value && <Questions />}
        </div>
      </div>
      {!wide.value && <Contents />}
    </Page>
  );
}

/** This hour's round first and large, one tap in; the others beneath it. */
function Rounds() {
  const found = useMemo(() => roundsOn(today.value), [today.value]).value;
  const rounds = farm.value?.rounds ?? [];
  const mine = roundAt(rounds, new Date().getHours());
  if (cages.value.length === 0)
    return (
      <section class="stack">
        <h2>Rounds</h2>
        {fetching.value && <p>The book is being fetched from the house. That is done once.</p>}
        {!fetching.value && (
          <p>No cages in the book yet. A round walks past the cages in their walking order.</p>
        )}
        {!fetching.value && me.value?.role === 'owner' && (
          <a class="button main" href="/set-up">
            Set up the barn
          </a>
        )}
      </section>
    );
  return (
    <section class="stack">
      <h2>Rounds</h2>
      {rounds.map((round) => {
        const stops = walk(cages.value, found, round.key);
        const sum = sumUp(stops);
        const seen = stops.length - sum.open.length;
        const done = sum.open.length === 0 && stops.length > 0;
        const now = round.key === mine?.key;
        const said =
          seen === 0
            ? 'Not started'
            : `${done ? 'Done' : `${seen} of ${stops.length}`} · ${amount(sum.eggs, 'egg')}${sum.passed.length > 0 ? ` · ${sum.passed.length} passed over` : ''}`;
        return (
          <a key={round.key} class="round-card" data-now={now || undefined} href={`/round/of/${round.key}`}>
            <strong>{round.name} round</strong>
            <span>{said}</span>
            <span class="bar" aria-hidden="true">
              <span style={{ width: `${stops.length === 0 ? 0 : (seen / stops.length) * 100}%` }} />
            </span>
          </a>
        );
      })}
    </section>
  );
}

const WORK: Record<string, string> = {
  sexing: 'Sexing',
  look_again: 'Look again',
  weighing: 'Weigh day',
  candle: 'Candle',
  lockdown: 'Lock down',
  hatch: 'Hatch',
  replace_hens: 'Hens grow old:',
  hens_breeding: 'Hens old for breeding:',
  cocks_breeding: 'Cocks old for breeding:',
  quarantine: 'Quarantine',
  set_eggs: 'Set eggs:',
  pack: 'Pack order',
};

function Dues() {
  const stands = { broods: broods.value, settings: settings.value, trays: trays.value, lines: lines.value };
  const list = duesInOrder(dues.value, stands, today.value);
  return (
    <section class="stack">
      <h2>Due</h2>
      {list.length === 0 ? (
        <p class="quiet">{fetching.value ? 'Comes with the book.' : 'Nothing is due in the next 14 days.'}</p>
      ) : (
        <Ledger label="Due, by last day">
          {list.map(({ due, when, left: said }) => {
            const left = due.work === 'pack' ? toPack(due) : said;
            if (left === 0) return null;
            const { big, small } = howLong(due, today.value);
            return (
              <Row
                key={due.id}
                href={linkOf(due)}
                margin={
                  <>
                    <b class={when === 'late' ? 'late' : undefined}>{big}</b>
                    {small}
                  </>
                }
              >
                <strong>
                  {WORK[due.work] ?? due.work} {nameOf(due)}
                </strong>
                <span>
                  {[
                    lineOf(due),
                    left === null ? '' : `${left} ${due.work === 'look_again' ? 'not sure' : 'left'}`,
                  ]
                    .filter(Boolean)
                    .join(' · ')}
                </span>
                <small>
                  {due.first_day !== due.last_day && `${showDay(due.first_day, today.value)} to `}
                  {showDay(due.last_day, today.value)}
                </small>
              </Row>
            );
          })}
        </Ledger>
      )}
    </section>
  );
}

const toPack = ({ subject }: DueRow) =>
  leftToPack(orders.value.get(subject.split('/')[1] ?? ''), shipments.value.values());
const broodOf = (due: DueRow) => broods.value.find((b) => `brood/${b.id}` === due.subject);
const nameOf = ({ subject }: DueRow): string => {
  const [table, id = ''] = subject.split('/');
  if (table === 'setting') return settings.value.get(id)?.code ?? '';
  if (table === 'line') return lines.value.find((l) => l.id === id)?.name ?? '';
  if (table === 'order') return orders.value.get(id)?.code ?? '';
  if (table === 'cage') return cages.value.find((c) => c.id === id)?.code ?? '';
  return broods.value.find((b) => b.id === id)?.code ?? '';
};
const lineOf = (due: DueRow) => {
  const of = broodOf(due) ?? orders.value.get(due.subject.split('/')[1] ?? '');
  return lines.value.find((l) => l.id === of?.line)?.name ?? '';
};
const PAGE: Record<string, string> = {
  sexing: '/sexing/',
  look_again: '/sexing/',
  weighing: '/weigh-birds/',
  set_eggs: '/ahead/',
};
const linkOf = (due: DueRow) =>
  PAGE[due.work] ? `${PAGE[due.work]}${due.subject.split('/')[1]}` : `/${due.subject}`;
