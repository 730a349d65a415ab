import { useMemo, useState } from 'preact/hooks';
import {
  type Bodies,
  cages,
  doubt,
  entriesOf,
  farm,
  isOf,
  lines,
  me,
  today,
  write,
} from '../../book/index.ts';
import { knock, useAwake } from '../../parts/awake.ts';
import { Choice } from '../../parts/choice.tsx';
import { showTime } from '../../parts/days.ts';
import { CountField } from '../../parts/field.tsx';
import { LastLine } from '../../parts/last-line.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';
import type { Params } from '../../parts/route.ts';
import { usePressGuard } from '../../parts/use-press-guard.ts';
import { showBand, showWeight, toGrams } from '../../parts/weight.ts';
import { WeightPad } from '../../parts/weight-pad.tsx';
import { wide } from '../../parts/wide.ts';
import { AskOnce } from '../frame/ask-once.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { useLast } from '../frame/use-last.ts';
import { running } from './running.ts';
import './weighing.css';

type Body = Bodies['egg_weight'];

/** Eggs of one cage on the scale, one after another or several at once; the mean so far beside them. */
export function EggWeighing({ cage: id }: Params) {
  useAwake();
  const cage = cages.value.find((c) => c.id === id);
  const entries = useMemo(() => entriesOf(`cage/${id ?? ''}`), [id]).value;
  const guard = usePressGuard();
  const [how, setHow] = useState<'one' | 'several'>('one');
  const [eggs, setEggs] = useState(5);
  const [ask, setAsk] = useState<{ body: Body; sentence: string } | null>(null);
  const { last, wrong, writing, put, undoLast } = useLast<null>();
  const back = { href: '/weigh-eggs', name: 'Egg weighing' };

  if (!cage)
    return (
      <BookPage title="Egg weighing" back={back}>
        <p>This cage is not on the phone yet. It comes with the next sync.</p>
      </BookPage>
    );

  const unit = farm.value?.weight_unit ?? 'g';
  const line = lines.value.find((l) => l.id === cage.line);
  const weighedToday = (entries ?? [])
    .filter((e) => isOf(e, 'egg_weight'))
    .filter((e) => e.day === today.value && !e.struck && e.place !== 'aside');
  const sum = running(
    weighedToday.map((e) => e.body),
    line ? { low_g: line.egg_low_g, high_g: line.egg_high_g } : null,
  );
  const mayWrite = me.value?.role !== 'onlooker';

  const keep = async (body: Body) => {
    const said = `${body.typed.value} ${body.typed.unit}`;
    const more = body.eggs === 1 ? '' : `${body.eggs} eggs together`;
    if (await put({ where: null, at: cage.code, said, more }, () => write('egg_weight', body))) knock();
  };
  const weighed = (value: number, typed: string) => {
    const body: Body = {
      cage: cage.id,
      eggs: how === 'one' ? 1 : eggs,
      grams: toGrams(value, unit),
      typed: { value: typed, unit },
    };
    const sentence = doubt('egg_weight', body);
    if (sentence === null) void keep(body);
    else setAsk({ body, sentence });
  };

  return (
    <BookPage tool title={`Eggs of ${cage.code}`} back={back}>
      <div class="spread">
        <section class="stack">
          <dl class="running">
            <div>
              <dt>Mean today</dt>
              <dd>{sum.mean_g === null ? '–' : showWeight(sum.mean_g, unit, 'egg')}</dd>
            </div>
            <div>
              <dt>Eggs weighed</dt>
              <dd>{sum.eggs}</dd>
            </div>
            <div>
              <dt>{sum.band === null ? 'No band set' : `In ${showBand(sum.band, unit)}`}</dt>
              <dd>{sum.band === null ? '–' : `${sum.band.inside} of ${sum.singles}`}</dd>
            </div>
          </dl>
          {sum.eggs > sum.singles && (
            <p class="quiet">
              <small>
                {sum.eggs - sum.singles} weighed together: they are in the mean, but nobody knows each one's
                weight.
              </small>
            </p>
          )}
          {wide.value && weighedToday.length > 0 && (
            <>
              <h2>Weighed today</h2>
              <Ledger narrow label="Weighed today">
                {weighedToday.map(({ id, stamp, body }) => (
                  <Row key={id} margin={showTime(stamp)}>
                    <span>{showWeight(body.grams, unit, 'egg')}</span>
                    {body.eggs > 1 && <small>{body.eggs} eggs together</small>}
                  </Row>
                ))}
              </Ledger>
            </>
          )}
        </section>
        <section class="stack">
          <Choice
            label="On the scale"
            labelOnlyRead
            value={how}
            onChoose={setHow}
            options={[
              { value: 'one', name: 'One egg' },
              { value: 'several', name: 'Several together' },
            ]}
          />
          {how === 'several' && (
            <CountField label="Eggs together" value={eggs} onCount={(n) => setEggs(Math.max(1, n))} />
          )}
          {wrong !== null && (
            <Notice kind="refused">
              <p>{wrong}</p>
            </Notice>
          )}
          <LastLine last={last} onUndo={undoLast}>
            Nothing weighed on this page yet.
          </LastLine>
          <WeightPad
            unit={unit}
            label={`Weight of eggs of cage ${cage.code}`}
            guard={guard}
            off={!mayWrite || writing}
            onWeight={weighed}
          >
            <b>{cage.code}</b> {how === 'one' ? 'one egg' : `${eggs} eggs together`}
          </WeightPad>
        </section>
      </div>
      {ask && (
        <AskOnce
          title={`${ask.body.typed.value} ${ask.body.typed.unit}?`}
          sentence={ask.sentence}
          yes={`Yes, ${ask.body.typed.value} ${ask.body.typed.unit}`}
          no="No, weigh again"
          onYes={() => {
            setAsk(null);
            void keep(ask.body);
          }}
          onNo={() => setAsk(null)}
        />
      )}
    </BookPage>
  );
}
