import { today } from '../../book/index.ts';
import type { MatingPage } from '../../book/mating-page.ts';
import { Chart } from '../../parts/chart.tsx';
import { dayAfter, daysFrom, showDay } from '../../parts/days.ts';
import { FigureLine } from '../../parts/figure-line.tsx';
import { percent } from './mating.tsx';

/** Inbreeding of the line so far, brood by brood, and what the plan would add. */
export function SoFar({ page, planned }: { page: MatingPage; planned: number | null }) {
  const broods = page.by_brood ?? [];
  const first = broods[0];
  const parents = page.parents_inbreeding ?? null;
  return (
    <section class="stack not-printed">
      <h2>Inbreeding of the line</h2>
      {page.a_generation && (
        <FigureLine name="A generation, so far" figure={page.a_generation} today={today.value} />
      )}
      {page.effective && (
        <FigureLine name="Effective number of breeders" figure={page.effective} today={today.value} />
      )}
      {planned !== null && parents !== null && (
        <p>
          Under the plan: {percent(planned)} in the chicks, {percent(parents)} in their parents on average (n
          = {page.birds.length} birds, {page.with_parents ?? 0} of them with parents in the book).
        </p>
      )}
      {first && (
        <Chart
          summary={
            `Inbreeding by brood of the keepers: ${broods.map(([code, , f]) => `${code} ${percent(f)}`).join(', ')}` +
            (planned === null ? '.' : `; the chicks of this plan ${percent(planned)}.`)
          }
          x={{
            label: 'Hatched',
            from: -14,
            to: daysFrom(first[1], today.value) + 30,
            show: (days) => showDay(dayAfter(first[1], Math.round(days)), today.value),
            step: Math.max(60, Math.round(daysFrom(first[1], today.value) / 3)),
          }}
          y={{
            label: 'Inbreeding, %',
            from: 0,
            to: Math.max(0.01, planned ?? 0, ...broods.map(([, , f]) => f)) * 1.15,
            show: (f) => (f * 100).toFixed(1),
          }}
          series={[
            {
              draw: 'dots',
              name: 'Broods',
              points: broods.map(([, day, f]) => [daysFrom(first[1], day), f]),
            },
            ...(planned === null
              ? []
              : [
                  {
                    draw: 'bars' as const,
                    name: 'Chicks of this plan',
                    width: 12,
                    points: [[daysFrom(first[1], today.value), planned]] as [number, number][],
                  },
                ]),
          ]}
          head={['Brood', 'Hatched', 'Inbreeding', 'Keepers']}
          rows={broods.map(([code, day, f, n]) => [code, showDay(day, today.value), percent(f), n])}
        />
      )}
      {page.birds.length > 0 && !first && <p>No keeper’s parents are in the book yet.</p>}
    </section>
  );
}
