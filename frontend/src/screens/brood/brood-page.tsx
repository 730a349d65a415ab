import { useState } from 'preact/hooks';
import { type BroodRow, broods, lines, me, today } from '../../book/index.ts';
import { showAge } from '../../parts/ages.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { daysFrom, showDay } from '../../parts/days.ts';
import type { Params } from '../../parts/route.ts';
import '../cage/cage.css';
import { Bands } from '../brooding/bands.tsx';
import { Brooder } from '../brooding/brooder.tsx';
import { FoundDead } from '../cage-sheets/found-dead.tsx';
import { PlaceBirds } from '../cage-sheets/place-birds.tsx';
import { EntriesOf } from '../entries/entries-of.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { FiguresOf } from '../frame/figures-of.tsx';
import { NextDue } from '../frame/next-due.tsx';
import { type How, Leaving } from '../leaving/leaving.tsx';
import { windowOf } from '../sexing-day/checklist.ts';
import { Injured } from '../treating/injured.tsx';
import { Treated } from '../treating/treated.tsx';
import { Treatments } from '../treating/treatments.tsx';
import { WaitNotice } from '../withdrawal/wait-notice.tsx';
import { subjectsOf } from '../withdrawal/waits.ts';
import { BirdsList } from './birds-list.tsx';
import { Origin } from './origin.tsx';

type Leaf = 'dead' | 'place' | 'bands' | 'brooder' | 'injured' | 'treated' | How | null;

/** The chicks of one hatch: how many live, what was found of each, what is due. */
export function BroodPage({ brood: id }: Params) {
  const [leaf, setLeaf] = useState<Leaf>(null);
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
              <a class="button plain" href={`/sexing/${brood.id}/move`}>
                To their cages
              </a>
              <Button onClick={() => setLeaf('place')}>Place in a cage</Button>
              <Button onClick={() => setLeaf('dead')}>Found dead</Button>
              <Button onClick={() => setLeaf('bands')}>Bands</Button>
              <a class="button plain" href={`/brood/${brood.id}/guess`}>
                Early guess
              </a>
              <Button onClick={() => setLeaf('brooder')}>Brooder</Button>
              <Button onClick={() => setLeaf('processed')}>Processed</Button>
              <Button onClick={() => setLeaf('sold')}>Sold alive</Button>
              <Button onClick={() => setLeaf('injured')}>Injured</Button>
              {me.value?.role === 'owner' && <Button onClick={() => setLeaf('treated')}>Treatment</Button>}
            </div>
          )}
          <Treatments brood={brood} />
          <BirdsList brood={brood} />
          <FiguresOf
            subject={`brood/${brood.id}`}
            title="Figures"
            names={['guess_right', 'dressing_share', 'plucked_clean']}
            begun
          />
        </div>
        <div>
          <EntriesOf subject={`brood/${brood.id}`} {...(!brood.bought_in && { since: brood.hatched_on })} />
        </div>
      </div>
      {leaf === 'dead' && <FoundDead brood={brood} onClose={close} />}
      {leaf === 'bands' && <Bands brood={brood} onClose={close} />}
      {leaf === 'brooder' && <Brooder brood={brood} onClose={close} />}
      {(leaf === 'processed' || leaf === 'sold') && <Leaving how={leaf} brood={brood} onClose={close} />}
      {leaf === 'injured' && <Injured brood={brood} onClose={close} />}
      {leaf === 'treated' && <Treated brood={brood} onClose={close} />}
      {leaf === 'place' && <PlaceBirds from={brood} onClose={close} />}
    </BookPage>
  );
}

function Standing({ brood }: { brood: BroodRow }) {
  const line = lines.value.find((l) => l.id === brood.line);
  const window = windowOf(brood, line, today.value);
  // Of birds bought in, the purchase says how many of each: none was looked at here, and 0 would be false. And where birds left by
  // their number, nobody knows how many of each are still here.
  const looked = brood.cocks + brood.hens + brood.unsure;
  const gone_unnamed = looked - brood.alive;
  const told = (!brood.bought_in || looked > 0) && gone_unnamed <= 0;
  return (
    <section class="standing">
      <dl>
        <Fact name="Alive" n={brood.alive} />
        {told && (
          <>
            <Fact name="Cocks" n={brood.cocks} />
            <Fact name="Hens" n={brood.hens} />
          </>
        )}
        <Fact name="Left" n={brood.unlooked} />
      </dl>
      <p>
        {line ? <a href={`/line/${line.id}`}>{line.name}</a> : 'A line not here yet'}, hatched{' '}
        {showDay(brood.hatched_on, today.value)}, {showAge(daysFrom(brood.hatched_on, today.value))} old.
        <br />
        {amount(brood.chicks, brood.bought_in ? 'bird' : 'chick')}, {brood.chicks - brood.alive} gone,{' '}
        {brood.placed} placed in cages, {brood.unsure} not sure.
      </p>
      {gone_unnamed > 0 && (
        <p>
          {amount(looked, 'bird')} were looked at one by one ({amount(brood.cocks, 'cock')},{' '}
          {amount(brood.hens, 'hen')}), and at least {gone_unnamed} of them left by number: nobody said which,
          so how many of each are here is not known.
        </p>
      )}
      <p>
        Sexing from day {window.from} to {window.to}; today is day {window.age_days}.
      </p>
      <Origin brood={brood} />
      <NextDue subject={`brood/${brood.id}`} />
      <WaitNotice of="meat" subjects={subjectsOf({ brood })} />
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
