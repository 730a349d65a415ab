import { useMemo, useState } from 'preact/hooks';
import {
  type BirdRow,
  type Bodies,
  birdsOf,
  broods,
  type Decision,
  doubt,
  farm,
  lines,
  me,
  newId,
  today,
  write,
} from '../../book/index.ts';
import { showAge } from '../../parts/ages.ts';
import { knock, useAwake } from '../../parts/awake.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { daysFrom } from '../../parts/days.ts';
import { TextField } from '../../parts/field.tsx';
import { LastLine } from '../../parts/last-line.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';
import type { Params } from '../../parts/route.ts';
import { useLater } from '../../parts/use-later.ts';
import { usePressGuard } from '../../parts/use-press-guard.ts';
import { showWeight, toGrams } from '../../parts/weight.ts';
import { WeightPad } from '../../parts/weight-pad.tsx';
import { AskOnce } from '../frame/ask-once.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { nextNumber } from '../frame/called.ts';
import { useLast } from '../frame/use-last.ts';
import { useBandsWorn, wornElsewhere } from '../sexing-day/bands-worn.ts';
import { banded } from '../sexing-day/checklist.ts';
import { isWeighDay, standings } from './cut.ts';
import { type Group, nextUnbanded, unbanded } from './next-bird.ts';
import { Plumage } from './plumage.tsx';
import { growthTable } from './standard-age.ts';
import { Together } from './together.tsx';
import { Verdict } from './verdict.tsx';
import { Weighed } from './weighed.tsx';
import '../sexing-day/sexing-day.css';
import './weighing.css';

type Body = Bodies['bird_weight'];
const GROUPS: Record<Group, string> = {
  cock: 'Cock',
  hen: 'Hen',
  unsure: 'Not sure',
  unsexed: 'Not sexed',
  new: 'Not sexed',
};
const BACK = { href: '/weigh-birds', name: 'Weigh day' };

/** Bird after bird of one brood on the scale: by its band, or as the next unbanded one of its sex. */
export function BirdWeighing({ brood: id }: Params) {
  useAwake();
  const brood = broods.value.find((b) => b.id === id);
  const birds = useMemo(() => birdsOf(id ?? ''), [id]).value;
  const guard = usePressGuard();
  const [chosen, setChosen] = useState<Group | null>(null);
  const [band, setBand] = useState('');
  const [sex, setSex] = useState<'cock' | 'hen' | 'unknown'>('unknown');
  const [inHand, setInHand] = useState<string | null>(null);
  const [together, setTogether] = useState(false);
  const [ask, setAsk] = useState<{ body: Body; number: number; sentence: string } | null>(null);
  const { last, wrong, writing, put, remember, undoLast } = useLast<null>();
  const worn = useBandsWorn();
  const later = useLater(birds);
  const unit = farm.value?.weight_unit ?? 'g';
  const line = lines.value.find((l) => l.id === brood?.line);
  const table = brood ? (growthTable(brood.line)?.body ?? null) : null;
  const mayWrite = me.value?.role !== 'onlooker';
  const day = today.value;
  const hatched_on = brood?.hatched_on;
  // Drawn anew only when its birds are others, and after what the thumb waits for.
  const list = useMemo(
    () =>
      later &&
      hatched_on && (
        <Weighed
          weighDay={{ birds: later, line, hatched_on, table, day }}
          unit={unit}
          onDecide={mayWrite ? setInHand : undefined}
        />
      ),
    [later, line, hatched_on, table, day, unit, mayWrite],
  );

  if (!brood || !birds)
    return (
      <BookPage title="Weigh day" back={BACK}>
        {birds && <p>This brood is not on the phone yet. It comes with the next sync.</p>}
      </BookPage>
    );

  const age = daysFrom(brood.hatched_on, today.value);
  const groups = unbanded(birds, brood.alive, today.value);
  // With birds of both sexes left it must be said which: a weight taken for granted would land on the wrong one.
  const group =
    groups.find((g) => g.group === chosen)?.group ??
    // Where every bird wears a band, or was weighed, only a band can say which one this is.
    (groups.length > 1 ? null : (groups[0]?.group ?? (birds.length === 0 ? 'new' : null)));
  const byBand = banded(birds, band);
  const bird = band.trim() === '' ? group && nextUnbanded(birds, group, today.value) : byBand;
  const meant = band.trim() !== '' || group !== null;
  const number = bird?.number ?? nextNumber(birds);
  const weighedToday = birds.filter((b) => b.weighed_on === today.value);
  const weigh_day = isWeighDay(line, age);
  const unsexed = meant && bird?.sex !== 'cock' && bird?.sex !== 'hen';
  const weighedBird = inHand === null ? undefined : birds.find((b) => b.id === inHand);

  const keep = async (body: Body, number: number) => {
    const said = `${body.typed.value} ${body.typed.unit}`;
    const more = body.band === null ? '' : `band ${body.band}`;
    if (!(await put({ where: null, at: `Bird ${number}`, said, more }, () => write('bird_weight', body))))
      return;
    if (sex !== 'unknown' && bird?.sex !== sex)
      await put({ where: null, at: `Bird ${number}`, said: sex, more: 'sexed' }, () =>
        write('bird_sexed', {
          bird: body.bird,
          brood: body.brood,
          number: body.number ?? null,
          result: sex,
          band: body.band,
        }),
      );
    knock();
    setBand('');
    setSex('unknown');
    if (weigh_day) setInHand(body.bird);
  };
  const decide = async (decision: Decision) => {
    if (!weighedBird || !guard.take()) return;
    const { id, number } = weighedBird;
    const done = await put({ where: null, at: `Bird ${number}`, said: decision, more: '' }, () =>
      write('bird_decided', { bird: id, brood: brood.id, decision, note: '' }),
    );
    if (done) setInHand(null);
  };
  const next = () => setInHand(null);
  const undo = () => {
    next();
    void undoLast();
  };
  const weighed = (value: number, typed: string) => {
    const body: Body = {
      bird: bird?.id ?? newId(),
      brood: brood.id,
      number,
      band: bird?.band ?? (band.trim() || null), // as the book spells it, where it knows the band
      grams: toGrams(value, unit),
      typed: { value: typed, unit },
    };
    const sentence = doubt('bird_weight', body);
    if (sentence === null) void keep(body, number);
    else setAsk({ body, number, sentence });
  };

  return (
    <BookPage tool title={`Weighing ${brood.code}`} back={BACK}>
      <div class="spread">
        <section class="stack" onPointerDown={(e) => guard.down(e.pointerId)}>
          {weighedBird && (
            <>
              {wrong !== null && (
                <Notice kind="refused">
                  <p>{wrong}</p>
                </Notice>
              )}
              <LastLine last={last} onUndo={undo} />
              <Verdict
                bird={weighedBird}
                standing={standings({ birds, line, hatched_on: brood.hatched_on, table, day })(weighedBird)}
                line={line}
                age_days={age}
                unit={unit}
                off={!mayWrite || writing}
                onDecide={(decision) => void decide(decision)}
                onNext={next}
              >
                {line && <Plumage bird={weighedBird} line={line} off={!mayWrite || writing} />}
              </Verdict>
            </>
          )}
          <div class="stack" hidden={weighedBird !== undefined}>
            <TextField
              label="Band"
              beside
              value={band}
              onText={setBand}
              maxLength={20}
              autocomplete="off"
              wrong={wornElsewhere(worn, [band], brood.id)}
            />
            {band.trim() === '' && (groups.length > 1 || (groups.length === 1 && !unsexed)) && (
              <Choice
                label="Without a band"
                labelOnlyRead
                value={group}
                onChoose={setChosen}
                options={groups.map((g) => ({
                  value: g.group,
                  name: GROUPS[g.group],
                  detail: `${g.left} left`,
                }))}
              />
            )}
            {weigh_day && unsexed && (
              <Choice
                label="Sex"
                labelOnlyRead
                value={sex}
                onChoose={setSex}
                options={[
                  { value: 'cock', name: 'Cock' },
                  { value: 'hen', name: 'Hen' },
                  { value: 'unknown', name: 'Not known' },
                ]}
              />
            )}
            {wrong !== null && (
              <Notice kind="refused">
                <p>{wrong}</p>
              </Notice>
            )}
            <LastLine last={last} onUndo={undo}>
              Nothing weighed on this page yet.
            </LastLine>
            <WeightPad
              unit={unit}
              label={`Weight of bird ${number}`}
              guard={guard}
              off={!mayWrite || writing || !meant}
              onWeight={weighed}
              onTyping={next}
            >
              {meant ? (
                <>
                  <b>Bird {number}</b> {birdWords(bird, band)}
                </>
              ) : groups.length === 0 ? (
                'Which band is on the scale?'
              ) : (
                'Which is on the scale?'
              )}
            </WeightPad>
          </div>
        </section>
        <section class="stack">
          <p>
            {line && <>{line.name}, </>}
            {showAge(age)} old (day {age})
            {line && age !== line.weighing_age_days && (
              <>; the line's weighing age is day {line.weighing_age_days}</>
            )}
            .
          </p>
          {mayWrite && <Button onClick={() => setTogether(true)}>Several at once</Button>}
          {weigh_day ? list : <h2>Weighed today: {weighedToday.length}</h2>}
          {!weigh_day && weighedToday.length > 0 && (
            <Ledger label="Weighed today">
              {[...weighedToday].reverse().map((b) => (
                <Row key={b.id} margin={<b>{b.number}</b>}>
                  <span>{b.last_weight_g === null ? '' : showWeight(b.last_weight_g, unit, 'bird')}</span>
                  <small>
                    {[b.sex === 'unsure' ? 'not sure' : b.sex, b.band === null ? '' : `band ${b.band}`]
                      .filter(Boolean)
                      .join(', ')}
                  </small>
                </Row>
              ))}
            </Ledger>
          )}
        </section>
      </div>
      {together && (
        <Together
          brood={brood}
          unit={unit}
          onClose={() => setTogether(false)}
          onWritten={({ id }, said) => {
            remember({ id, where: null, at: 'Together', said, more: '' });
            setTogether(false);
          }}
        />
      )}
      {ask && (
        <AskOnce
          title={`${ask.body.typed.value} ${ask.body.typed.unit}?`}
          sentence={ask.sentence}
          yes={`Yes, ${ask.body.typed.value} ${ask.body.typed.unit}`}
          no="No, weigh again"
          onYes={() => {
            setAsk(null);
            void keep(ask.body, ask.number);
          }}
          onNo={() => setAsk(null)}
        />
      )}
    </BookPage>
  );
}

function birdWords(bird: BirdRow | null | undefined, band: string): string {
  if (!bird) return band.trim() === '' ? 'new to the book' : 'a band new to the book';
  return bird.sex === 'unsure' ? 'sex not sure' : bird.sex;
}
