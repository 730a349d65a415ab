import { useState } from 'preact/hooks';
import { type BroodRow, broods, dues, lines, me, today } from '../../book/index.ts';
import { showAge } from '../../parts/ages.ts';
import { Button } from '../../parts/button.tsx';
import { daysFrom, showDay } from '../../parts/days.ts';
import type { Params } from '../../parts/route.ts';
import '../cage/cage.css';
import { FoundDead } from '../cage-sheets/found-dead.tsx';
import { PlaceBirds } from '../cage-sheets/place-birds.tsx';
import { EntriesOf } from '../entries/entries-of.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { toLookAt, windowOf } from '../sexing-day/checklist.ts';
import { howLong } from '../today/dues.ts';

/** The chicks of one hatch: how many live, what was found of each, what is due. */
export function BroodPage({ brood: id }: Params) {
  const [leaf, setLeaf] = useState<'dead' | 'place' | null>(null);
  const brood = broods.value.find((b) => b.id === id);
  const back = { href: '/broods', name: 'Broods' };
  if (!brood)
    return (
      <BookPage title="Brood" back={back}>
        <p>This brood is not on the phone yet. It comes with the next sync.</p>
      </BookPage>
    );
  const close = () => setLeaf(null);
  return (
    <BookPage title={`Brood ${brood.code}`} back={back}>
      <div class="spread">
        <div>
          <Standing brood={brood} />
          {me.value?.role !== 'onlooker' && (
            <div class="doings">
              <a class="button main" href={`/sexing/${brood.id}`}>
                Sexing
              </a>
              <a class="button plain" href={`/weigh-birds/${brood.id}`}>
                Weigh birds
              </a>
              <Button onClick={() => setLeaf('place')}>Place in a cage</Button>
              <Button onClick={() => setLeaf('dead')}>Found dead</Button>
            </div>
          )}
        </div>
        <div>
          <EntriesOf subject={`brood/${brood.id}`} />
        </div>
      </div>
      {leaf === 'dead' && <FoundDead brood={brood} onClose={close} />}
      {leaf === 'place' && <PlaceBirds from={brood} onClose={close} />}
    </BookPage>
  );
}

function Standing({ brood }: { brood: BroodRow }) {
  const line = lines.value.find((l) => l.id === brood.line);
  const window = windowOf(brood, line, today.value);
  const due = dues.value.find((d) => d.subject === `brood/${brood.id}` && d.work === 'sexing' && !d.done);
  const wait = due ? howLong(due, today.value) : null;
  return (
    <section class="standing">
      <dl>
        <Fact name="Alive" n={brood.alive} />
        <Fact name="Cocks" n={brood.cocks} />
        <Fact name="Hens" n={brood.hens} />
        <Fact name="Left" n={toLookAt(brood)} />
      </dl>
      <p>
        {line ? <a href={`/line/${line.id}`}>{line.name}</a> : 'A line not here yet'}, hatched{' '}
        {showDay(brood.hatched_on, today.value)}, {showAge(daysFrom(brood.hatched_on, today.value))} old.
        <br />
        {brood.chicks} chicks, {brood.chicks - brood.alive} lost, {brood.placed} placed in cages,{' '}
        {brood.unsure} not sure.
      </p>
      <p>
        Sexing from day {window.from} to {window.to}; today is day {window.age_days}.{' '}
        {wait && due && toLookAt(brood) > 0 && (
          <b class={wait.big === 'late' ? 'late' : undefined}>
            {wait.big} {wait.small}
          </b>
        )}
      </p>
      {brood.note !== '' && <p>{brood.note}</p>}
      {me.value?.role !== 'onlooker' && (
        <a href={`/set-up/brood/${brood.id}`}>Change code, day of hatch, chicks</a>
      )}
    </section>
  );
}

function Fact({ name, n }: { name: string; n: number }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{n}</dd>
    </div>
  );
}
