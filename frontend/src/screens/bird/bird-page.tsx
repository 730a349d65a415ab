import { useMemo, useState } from 'preact/hooks';
import {
  type BirdRow,
  type BroodRow,
  birdsOf,
  broods,
  cages,
  type Decision,
  entriesOf,
  farm,
  isOf,
  type LineRow,
  lines,
  me,
  today,
  write,
} from '../../book/index.ts';
import { showAge } from '../../parts/ages.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { now_ms } from '../../parts/clock.ts';
import { daysFrom, showDay } from '../../parts/days.ts';
import { Figure } from '../../parts/figure.tsx';
import { inUnit } from '../../parts/figure-words.ts';
import { Growth } from '../../parts/growth.tsx';
import type { Params } from '../../parts/route.ts';
import { showWeight } from '../../parts/weight.ts';
import '../cage/cage.css';
import { EntriesOf } from '../entries/entries-of.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { whoseNumber } from '../frame/called.ts';
import { useWriting } from '../frame/use-writing.ts';
import { who } from '../frame/who.ts';
import { type How, Leaving } from '../leaving/leaving.tsx';
import { Injured } from '../treating/injured.tsx';
import { standings } from '../weighing/cut.ts';
import { Plumage } from '../weighing/plumage.tsx';
import { growthTable } from '../weighing/standard-age.ts';
import { AdjustedWords, DECISIONS } from '../weighing/verdict.tsx';

type Leaf = How | 'injured' | null;
/** So many days of entries a phone keeps. */
const KEPT_DAYS = 90;
const CUTS = { cock: 'cock_cut_g', hen: 'hen_cut_g' } as const;
const GONE = { dead: 'Died', processed: 'Processed', sold: 'Sold' } as const;

/** One bird: what it is, what it weighed, what was decided, and all that was written of it. */
export function BirdPage({ brood: brood_id, bird: id }: Params) {
  const [leaf, setLeaf] = useState<Leaf>(null);
  const brood = broods.value.find((b) => b.id === brood_id);
  const birds = useMemo(() => birdsOf(brood_id ?? ''), [brood_id]).value;
  const bird = birds?.find((b) => b.id === id);
  const back = brood ? { href: `/brood/${brood.id}`, name: brood.code } : { href: '/broods', name: 'Broods' };
  if (!brood || !bird)
    return (
      <BookPage title="Bird" back={back}>
        {birds && <p>This bird is not on the phone yet. It comes with the next sync.</p>}
      </BookPage>
    );
  const line = lines.value.find((l) => l.id === brood.line);
  const cage = cages.value.find((c) => c.id === bird.cage);
  const here = bird.gone === null;
  const whose = whoseNumber(birds ?? [], who)(bird);
  const close = () => setLeaf(null);
  return (
    <BookPage
      title={bird.band === null ? `Bird ${bird.number} ${whose && `(${whose})`}`.trim() : `Band ${bird.band}`}
      back={back}
    >
      <div class="spread">
        <div>
          <Standing bird={bird} brood={brood} birds={birds ?? []} line={line} />
          <Weights bird={bird} brood={brood} line={line} />
          {here && me.value?.role !== 'onlooker' && (
            <>
              <Decide bird={bird} />
              {line && <Plumage bird={bird} line={line} />}
              <div class="doings">
                <Button onClick={() => setLeaf('processed')}>Processed</Button>
                <Button onClick={() => setLeaf('sold')}>Sold alive</Button>
                <Button onClick={() => setLeaf('injured')}>Injured</Button>
                <Button onClick={() => setLeaf('dead')}>Found dead</Button>
              </div>
            </>
          )}
        </div>
        <div>
          <EntriesOf subject={`bird/${bird.id}`} since={brood.hatched_on} />
        </div>
      </div>
      {leaf === 'injured' && <Injured bird={bird} brood={brood} cage={cage} onClose={close} />}
      {leaf !== null && leaf !== 'injured' && (
        <Leaving how={leaf} bird={bird} brood={brood} cage={cage} onClose={close} />
      )}
    </BookPage>
  );
}

interface StandingProps {
  bird: BirdRow;
  brood: BroodRow;
  birds: BirdRow[];
  line: LineRow | undefined;
}

function Standing({ bird, brood, birds, line }: StandingProps) {
  const unit = farm.value?.weight_unit ?? 'g';
  const cage = cages.value.find((c) => c.id === bird.cage);
  const { over_g, place, adjusted } = standings({
    birds,
    line,
    hatched_on: brood.hatched_on,
    table: growthTable(brood.line)?.body ?? null,
    day: bird.weighed_on ?? today.value,
  })(bird);
  return (
    <section class="standing">
      <dl>
        <div>
          <dt>Sex</dt>
          <dd>{bird.sex === 'unsure' ? 'not sure' : bird.sex === 'unsexed' ? '–' : bird.sex}</dd>
        </div>
        <div>
          <dt>Last weight</dt>
          <dd>{bird.last_weight_g === null ? '–' : showWeight(bird.last_weight_g, unit, 'bird')}</dd>
        </div>
      </dl>
      {bird.gone !== null && (
        <p>
          <b>
            {GONE[bird.gone]}
            {bird.gone_on !== null && ` ${showDay(bird.gone_on, today.value)}`}
          </b>
        </p>
      )}
      <p>
        Bird {bird.number} of <a href={`/brood/${brood.id}`}>{brood.code}</a>
        {line && `, ${line.name}`}, hatched {showDay(brood.hatched_on, today.value)},{' '}
        {showAge(daysFrom(brood.hatched_on, bird.gone_on ?? today.value))} old
        {bird.gone === null ? '' : ' then'}.
        <br />
        {cage ? (
          <>
            In cage <a href={`/cage/${cage.id}`}>{cage.code}</a>
            {bird.placed_on !== null && ` since ${showDay(bird.placed_on, today.value)}`}.
          </>
        ) : (
          'Not placed in a cage by itself.'
        )}
      </p>
      {bird.looked_on !== null && <p>Looked at {showDay(bird.looked_on, today.value)}.</p>}
      {bird.guess !== null && (
        <p>
          Guessed {bird.guess === 'unsure' ? 'not sure' : bird.guess}
          {bird.guessed_by !== null && ` by ${bird.guessed_by}`}
          {bird.guessed_on !== null && ` on ${showDay(bird.guessed_on, today.value)}`}: a guess, no look.
        </p>
      )}
      {over_g !== null && (
        <p>
          {over_g === 0
            ? 'At the cut'
            : `${showWeight(Math.abs(over_g), unit, 'bird')} ${over_g > 0 ? 'over' : 'under'} the cut`}
          {place && `, number ${place.rank} of ${place.of} weighed with it`}.
          {adjusted && adjusted.by !== 'none' && (
            <>
              <br />
              <AdjustedWords at={adjusted} unit={unit} />
            </>
          )}
        </p>
      )}
    </section>
  );
}

function Weights({ bird, brood, line }: Omit<StandingProps, 'birds'>) {
  const unit = farm.value?.weight_unit ?? 'g';
  const entries = useMemo(() => entriesOf(`bird/${bird.id}`), [bird.id]).value ?? [];
  const show = (grams: number) => showWeight(grams, unit, 'bird');
  const weighings = entries
    .filter((e) => isOf(e, 'bird_weight') && !e.struck && e.place !== 'aside')
    .map((e) => {
      const { grams } = e.body as { grams: number };
      return {
        age_days: daysFrom(brood.hatched_on, e.day),
        grams,
        day: showDay(e.day, today.value),
        said: show(grams),
        stamp: e.stamp,
      };
    })
    .sort((a, b) => a.age_days - b.age_days || a.stamp - b.stamp);
  const sexed = bird.sex === 'cock' || bird.sex === 'hen' ? bird.sex : null;
  const cut_g = sexed ? (line?.[CUTS[sexed]] ?? null) : null;
  const table = growthTable(brood.line);
  const of_line = sexed && table?.body.sexes[sexed];
  return (
    <section class="stack">
      <h2>Weights</h2>
      {weighings.length === 0 ? (
        <p class="quiet">
          {bird.last_weight_g === null
            ? 'Not weighed by itself yet.'
            : 'Weighed longer ago than this phone keeps entries: older entries bring it back.'}
        </p>
      ) : (
        <Growth
          weighings={weighings}
          show={show}
          mean={of_line ? { of: `the line’s ${sexed}s`, points: of_line.curve } : undefined}
          cut={
            cut_g !== null && line
              ? { age_days: line.weighing_age_days, grams: cut_g, said: show(cut_g) }
              : undefined
          }
        />
      )}
      {weighings.length > 0 && daysFrom(brood.hatched_on, today.value) > KEPT_DAYS && (
        <p class="quiet">Weights older than {KEPT_DAYS} days come with Older entries, below.</p>
      )}
      {of_line && (
        <Figure
          figure={inUnit({ ...of_line.figure, computed_at: table.computed_at }, unit)}
          name={`The line’s ${sexed}s at day ${table.body.standard_age_days}`}
          beside={amount(of_line.birds, 'bird')}
          today={today.value}
          now_ms={now_ms.value}
        />
      )}
    </section>
  );
}

function Decide({ bird }: { bird: BirdRow }) {
  const { wrong, run } = useWriting();
  return (
    <>
      <Choice<Decision>
        label="Decided"
        value={bird.decision}
        options={DECISIONS}
        onChoose={(decision) =>
          void run(() => write('bird_decided', { bird: bird.id, brood: bird.brood, decision, note: '' }))
        }
      />
      {wrong !== null && <p class="late">{wrong}</p>}
    </>
  );
}
