import { useState } from 'preact/hooks';
import { broods, cages, farm, lines, me, today } from '../../book/index.ts';
import { showAge } from '../../parts/ages.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { daysFrom } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import type { Params } from '../../parts/route.ts';
import { showBand, showWeight } from '../../parts/weight.ts';
import { layWords } from '../cage/cages.tsx';
import { EntriesOf } from '../entries/entries-of.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { FiguresOf } from '../frame/figures-of.tsx';
import { Treated } from '../treating/treated.tsx';
import { Treatments } from '../treating/treatments.tsx';
import { WaitNotice } from '../withdrawal/wait-notice.tsx';
import { ShippedOf } from './shipped.tsx';

/** A breeding population kept as one: what it is measured by, its cages and its broods. */
export function LinePage({ line: id }: Params) {
  const [treating, setTreating] = useState(false);
  const line = lines.value.find((l) => l.id === id);
  const back = { href: '/lines', name: 'Lines' };
  if (!line)
    return (
      <BookPage title="Line" back={back}>
        <p>This line is not on the phone yet. It comes with the next sync.</p>
      </BookPage>
    );
  const unit = farm.value?.weight_unit ?? 'g';
  const of_line = cages.value.filter((c) => c.line === line.id && !c.closed);
  const its_broods = broods.value
    .filter((b) => b.line === line.id)
    .sort((a, b) => b.hatched_on.localeCompare(a.hatched_on));
  return (
    <BookPage title={line.name} back={back}>
      <div class="spread">
        <div>
          <section class="stack">
            {line.other_names.length > 0 && <p>Also sold as {line.other_names.join(', ')}.</p>}
            <p>
              Eggs{' '}
              {line.egg_low_g === null || line.egg_high_g === null
                ? 'without a band'
                : `in the band ${showBand({ low_g: line.egg_low_g, high_g: line.egg_high_g }, unit)}`}
              ; weighed on day {line.weighing_age_days}; sexed from day {line.sexing_from_day} to{' '}
              {line.sexing_to_day}.
            </p>
            <p>
              {line.candle_on_day === null ? 'Not candled' : `Candled on day ${line.candle_on_day}`}, locked
              down on {line.lockdown_on_day}, hatch on {line.hatch_on_day}; eggs stored{' '}
              {line.storage_limit_days} days at most.
            </p>
            {(line.cock_cut_g !== null || line.hen_cut_g !== null) && (
              <p>
                Cut at the weighing age:{' '}
                {[
                  line.cock_cut_g === null ? '' : `cocks ${showWeight(line.cock_cut_g, unit, 'bird')}`,
                  line.hen_cut_g === null ? '' : `hens ${showWeight(line.hen_cut_g, unit, 'bird')}`,
                ]
                  .filter(Boolean)
                  .join(', ')}
                .
              </p>
            )}
            {line.plumage.length > 0 && (
              <p>
                Chicks: {line.plumage.map((c) => (c.is_type ? `${c.words} (the type)` : c.words)).join('; ')}.
              </p>
            )}
            <WaitNotice of="eggs" subjects={[`line/${line.id}`]} />
            <WaitNotice of="meat" subjects={[`line/${line.id}`]} />
            {line.note !== '' && <p>{line.note}</p>}
            <a href={`/sheets/${line.id}`}>Line sheet</a>
            {me.value?.role === 'owner' && <a href={`/set-up/line/${line.id}`}>Change the line</a>}
            {me.value?.role === 'owner' && (
              <Button onClick={() => setTreating(true)}>Treatment of the line</Button>
            )}
          </section>
          <Treatments line={line} />
          <section class="stack">
            <h2>
              Cages{' '}
              <small class="quiet">
                {amount(
                  of_line.reduce((n, c) => n + c.hens, 0),
                  'hen',
                )}
              </small>
            </h2>
            {of_line.length === 0 ? (
              <p class="quiet">No cage holds this line.</p>
            ) : (
              <>
                <p class="quiet">
                  Lay rate over 28 days, the 95 % interval, and on how many hen-days it stands.
                </p>
                <Ledger narrow label="Cages of the line">
                  {of_line.map((cage) => (
                    <Row key={cage.id} href={`/cage/${cage.id}`} margin={<b>{cage.code}</b>}>
                      <strong>{amount(cage.hens, 'hen')}</strong>
                      <span>{layWords(cage)}</span>
                    </Row>
                  ))}
                </Ledger>
              </>
            )}
          </section>
        </div>
        <div>
          <section class="stack">
            <h2>Broods</h2>
            {its_broods.length === 0 ? (
              <p class="quiet">None in the book.</p>
            ) : (
              <Ledger narrow label="Broods of the line">
                {its_broods.map((brood) => (
                  <Row
                    key={brood.id}
                    href={`/brood/${brood.id}`}
                    margin={<b>{daysFrom(brood.hatched_on, today.value)}</b>}
                  >
                    <strong>{brood.code}</strong>
                    <span>{amount(brood.alive, 'bird')} alive</span>
                    <small>{showAge(daysFrom(brood.hatched_on, today.value))} old</small>
                  </Row>
                ))}
              </Ledger>
            )}
          </section>
          <FiguresOf
            subject={`line/${line.id}`}
            title="Fertility and hatch"
            names={['fertility', 'hatch_of_fertile', 'hatch_of_set']}
          />
          <ShippedOf line={line} />
          <FiguresOf
            subject={`line/${line.id}`}
            title="Birds"
            names={['guess_right', 'dressing_share', 'plucked_clean']}
          />
          <EntriesOf subject={`line/${line.id}`} />
        </div>
      </div>
      {treating && <Treated line={line} onClose={() => setTreating(false)} />}
    </BookPage>
  );
}
