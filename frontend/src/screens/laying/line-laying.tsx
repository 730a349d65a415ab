import { useState } from 'preact/hooks';
import type { Cohort } from '../../book/house-pages.ts';
import { farm, today } from '../../book/index.ts';
import { Chart, type Series } from '../../parts/chart.tsx';
import { Choice } from '../../parts/choice.tsx';
import { now_ms } from '../../parts/clock.ts';
import { daysFrom, showDay, showWhen } from '../../parts/days.ts';
import { FigureLine } from '../../parts/figure-line.tsx';
import { inUnit, missingSentence } from '../../parts/figure-words.ts';
import type { Params } from '../../parts/route.ts';
import { BookPage } from '../frame/book-page.tsx';
import { housePage } from '../frame/house-pages.ts';
import './laying.css';

/** A line's hens, brood by brood: what they laid by age, what the curve foresees, and their laying years. */
export function LineLaying({ line: id = '' }: Params) {
  const page = housePage('laying', id);
  const [chosen, setChosen] = useState<string | null>(null);
  const back = { href: '/laying', name: 'Laying' };
  if (!page)
    return (
      <BookPage title="Laying" back={back}>
        <p>The house has not reckoned this line yet. It does so after counts have come in.</p>
      </BookPage>
    );
  const cohorts = page.body.cohorts.filter((c) => c.weeks.length > 0);
  const cohort = cohorts.find((c) => c.brood === chosen) ?? cohorts.find((c) => c.fitted) ?? cohorts[0];
  return (
    <BookPage title={`Laying: ${page.line.name}`} back={back}>
      <p class="quiet">Reckoned {showWhen(page.computed_at, now_ms.value)}.</p>
      {page.body.figures.map((f) => (
        <FigureLine
          key={f.name}
          name={NAMES[f.name] ?? f.name}
          figure={inUnit({ ...f, computed_at: 0 }, farm.value?.weight_unit ?? 'g')}
          today={today.value}
        />
      ))}
      {cohort === undefined ? (
        <p>No hens of this line have been counted by their brood yet.</p>
      ) : (
        <div class="spread line-laying">
          <section class="stack">
            <h2>Hens of brood {cohort.code}</h2>
            {cohorts.length > 1 && (
              <Choice
                label="Brood"
                labelOnlyRead
                value={cohort.brood}
                options={cohorts.map((c) => ({ value: c.brood, name: c.code, detail: c.cages.join(', ') }))}
                onChoose={setChosen}
              />
            )}
            <Curve cohort={cohort} />
          </section>
          <section class="stack">
            <h2>Eggs a hen in the laying year</h2>
            <Years cohort={cohort} />
          </section>
        </div>
      )}
    </BookPage>
  );
}

const NAMES: Record<string, string> = {
  lay_rate: 'Lay rate of cages like these, 28 days',
  egg_weight: 'Egg weight',
  egg_weight_sd: 'Spread of egg weight (standard deviation)',
  eggs_inside_band: 'Eggs inside the band',
};

function Curve({ cohort }: { cohort: Cohort }) {
  const age = Math.floor(daysFrom(cohort.hatched_on, today.value) / 7);
  const last = cohort.last_day === null ? null : daysFrom(cohort.hatched_on, cohort.last_day) / 7;
  const seen = cohort.weeks.at(-1)?.[0] ?? 0;
  const ahead = (cohort.forecast ?? []).filter(([week]) => week <= Math.max(seen + 52, last ?? 0));
  const to = Math.max(seen, ahead.at(-1)?.[0] ?? 0, (last ?? 0) + 2, 30);
  const recent = cohort.weeks.slice(-4);
  const eggs = recent.reduce((n, [, rate, hens]) => n + rate * hens, 0);
  const hen_days = recent.reduce((n, [, , hens]) => n + hens, 0);
  const summary =
    `Counted from week ${cohort.weeks[0]?.[0]} to ${seen} of age; over the last ${recent.length} weeks ` +
    `${percent(eggs / hen_days)} of ${hen_days} hen-days gave an egg. ` +
    (cohort.peak
      ? `The curve (${cohort.model}) tops at ${percent(cohort.peak[1])} in week ${Math.round(cohort.peak[0])}.`
      : `No curve: ${missingSentence(cohort)}`);
  const series: Series[] = [
    { draw: 'dots', name: 'Counted, by week', points: cohort.weeks.map(([week, rate]) => [week, rate]) },
  ];
  if (cohort.fitted) series.push({ draw: 'line', name: 'Fitted', points: cohort.fitted });
  if (ahead.length > 0) {
    series.unshift({
      draw: 'band',
      name: '95 % of what is foreseen',
      points: ahead.map(([w, , low, high]) => [w, low, high]),
    });
    series.push({ draw: 'dashes', name: 'Foreseen', points: ahead.map(([w, rate]) => [w, rate]) });
  }
  return (
    <>
      <Chart
        summary={summary}
        x={{ label: 'Age of hen, weeks', from: 0, to, show: String }}
        y={{ label: 'Eggs a hen-day', from: 0, to: 1, step: 0.25, show: (v) => v.toFixed(2) }}
        series={series}
        marks={[
          ...(cohort.stands ? [{ x: age, name: 'today' }] : []),
          ...(last === null ? [] : [{ x: last, name: 'last day' }]),
        ]}
        head={['Week of age', 'Eggs a hen-day', 'Hen-days']}
        rows={cohort.weeks.map(([week, rate, hens]) => [week, rate.toFixed(3), hens])}
      />
      {cohort.last_day !== null && (
        <p class={daysFrom(today.value, cohort.last_day) < 120 && cohort.stands ? 'late' : 'quiet'}>
          These hens reach the end of their laying life on {showDay(cohort.last_day, today.value)}.
        </p>
      )}
    </>
  );
}

const percent = (share: number) => `${Math.round(share * 100)} %`;

function Years({ cohort }: { cohort: Cohort }) {
  if (cohort.years.length === 0)
    return <p>{missingSentence(cohort)} So which day of their laying year it is, nobody knows.</p>;
  return (
    <>
      <p class="quiet">
        Start of lay: {showDay(cohort.start ?? '', today.value)}, the middle of the first week at 50 %.
      </p>
      {cohort.years.map(({ year, observed, forecast, total }) => (
        <section key={year} class="of-line">
          <h3>{year === 1 ? 'First' : 'Second'} laying year</h3>
          <FigureLine name="Together" figure={total} today={today.value} />
          <FigureLine name="Counted so far" figure={observed} today={today.value} />
          <FigureLine name="Still foreseen" figure={forecast} today={today.value} />
        </section>
      ))}
    </>
  );
}
