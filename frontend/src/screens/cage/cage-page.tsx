import { useState } from 'preact/hooks';
import { type CageRow, cages, figures, lines, me, today } from '../../book/index.ts';
import { showDistance } from '../../parts/ages.ts';
import { Button } from '../../parts/button.tsx';
import { now_ms } from '../../parts/clock.ts';
import { showDay } from '../../parts/days.ts';
import { Figure } from '../../parts/figure.tsx';
import type { Params } from '../../parts/route.ts';
import { CageNote } from '../cage-sheets/cage-note.tsx';
import { FoundDead } from '../cage-sheets/found-dead.tsx';
import { HeadCheck } from '../cage-sheets/head-check.tsx';
import { PlaceBirds } from '../cage-sheets/place-birds.tsx';
import { EntriesOf } from '../entries/entries-of.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { NextDue } from '../frame/next-due.tsx';
import { type How, Leaving } from '../leaving/leaving.tsx';
import { Injured } from '../treating/injured.tsx';
import { Lights } from '../treating/lights.tsx';
import { LightsNow } from '../treating/lights-now.tsx';
import { Treated } from '../treating/treated.tsx';
import { Treatments } from '../treating/treatments.tsx';
import { WaitNotice } from '../withdrawal/wait-notice.tsx';
import { subjectsOf } from '../withdrawal/waits.ts';
import './cage.css';

type Leaf = 'dead' | 'heads' | 'place' | 'note' | 'injured' | 'treated' | 'lights' | How | null;
const SPANS = ['7d', '28d', 'since_placed'];

/** What stands in a cage, what it lays, and all that was written of it. */
export function CagePage({ cage: id }: Params) {
  const [leaf, setLeaf] = useState<Leaf>(null);
  const cage = cages.value.find((c) => c.id === id);
  const back = { href: '/cages', name: 'Cages' };
  if (!cage)
    return (
      <BookPage title="Cage" back={back}>
        <p>This cage is not on the phone yet. It comes with the next sync.</p>
      </BookPage>
    );
  const close = () => setLeaf(null);
  const lay = (figures.value.get(`cage/${cage.id}`) ?? []).filter((f) => f.name === 'lay_rate');
  const inOrder = SPANS.flatMap((span) => lay.filter((f) => f.span === span));
  return (
    <BookPage title={`Cage ${cage.code}`} back={back}>
      <div class="spread">
        <div>
          <Standing cage={cage} />
          {me.value?.role !== 'onlooker' && (
            <div class="doings">
              <a class="button main" href={`/round/${cage.id}`}>
                Count eggs
              </a>
              <a class="button plain" href={`/weigh-eggs/${cage.id}`}>
                Weigh eggs
              </a>
              <Button onClick={() => setLeaf('dead')}>Found dead</Button>
              <Button onClick={() => setLeaf('heads')}>Head check</Button>
              <Button onClick={() => setLeaf('place')}>Place birds</Button>
              <Button onClick={() => setLeaf('note')}>Note</Button>
              <Button onClick={() => setLeaf('processed')}>Processed</Button>
              <Button onClick={() => setLeaf('sold')}>Sold alive</Button>
              <Button onClick={() => setLeaf('injured')}>Injured</Button>
              <Button onClick={() => setLeaf('lights')}>Lights and heat</Button>
              {me.value?.role === 'owner' && <Button onClick={() => setLeaf('treated')}>Treatment</Button>}
            </div>
          )}
          <Treatments cage={cage} />
          <LightsNow row={cage.row} />
          <section>
            <h2>Lay</h2>
            {inOrder.length === 0 ? (
              <p class="quiet">
                The house has not reckoned this cage yet. It does so after its counts have come in.
              </p>
            ) : (
              inOrder.map((figure) => (
                <Figure key={figure.id} figure={figure} today={today.value} now_ms={now_ms.value} />
              ))
            )}
          </section>
        </div>
        <div>
          <EntriesOf subject={`cage/${cage.id}`} />
        </div>
      </div>
      {leaf === 'dead' && <FoundDead cage={cage} onClose={close} />}
      {leaf === 'heads' && <HeadCheck cage={cage} onClose={close} />}
      {leaf === 'place' && <PlaceBirds into={cage} onClose={close} />}
      {(leaf === 'processed' || leaf === 'sold') && <Leaving how={leaf} cage={cage} onClose={close} />}
      {leaf === 'injured' && <Injured cage={cage} onClose={close} />}
      {leaf === 'lights' && <Lights row={cage.row} onClose={close} />}
      {leaf === 'treated' && <Treated cage={cage} onClose={close} />}
      {leaf === 'note' && <CageNote cage={cage} onClose={close} />}
    </BookPage>
  );
}

function Standing({ cage }: { cage: CageRow }) {
  const line = lines.value.find((l) => l.id === cage.line);
  return (
    <section class="standing">
      <dl>
        <div>
          <dt>Hens</dt>
          <dd>{cage.hens}</dd>
        </div>
        <div>
          <dt>Cocks</dt>
          <dd>{cage.cocks}</dd>
        </div>
        {cage.unsexed !== 0 && (
          <div>
            <dt>Unsexed</dt>
            <dd>{cage.unsexed}</dd>
          </div>
        )}
      </dl>
      {(cage.hens < 0 || cage.cocks < 0 || cage.unsexed < 0) && (
        <p class="late">More birds went from this cage than ever came in. A head check puts it right.</p>
      )}
      <p>
        {line ? <a href={`/line/${line.id}`}>{line.name}</a> : 'No line'}, row {cage.row}, place {cage.place}{' '}
        in the walk
        {cage.closed && <b>, closed</b>}
        <br />
        {cage.stocked_on === null
          ? 'No birds were ever placed here.'
          : `Birds placed ${showDay(cage.stocked_on, today.value)}, ${showDistance(cage.stocked_on, today.value)}.`}
      </p>
      <NextDue subject={`cage/${cage.id}`} />
      <WaitNotice of="eggs" subjects={subjectsOf({ cage })} />
      <WaitNotice of="meat" subjects={subjectsOf({ cage })} />
      {me.value?.role === 'owner' && <a href={`/set-up/cage/${cage.id}`}>Change code, row, line</a>}
    </section>
  );
}
