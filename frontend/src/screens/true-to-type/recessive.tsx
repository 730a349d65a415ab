import { today } from '../../book/index.ts';
import type { Recessive, TestMate, TrueToTypePage } from '../../book/true-to-type-page.ts';
import { Chart } from '../../parts/chart.tsx';
import { FigureLine } from '../../parts/figure-line.tsx';

const percent = (share: number): string => `${(share * 100).toFixed(1)} %`;

/** A class held to be a single recessive: its gene, who carries it, what culling what shows it would do. */
export function OneRecessive({ page, of }: { page: TrueToTypePage; of: Recessive }) {
  const words = page.classes.find(({ key }) => key === of.key)?.words ?? of.key;
  const [likely, best, worst] = of.generations;
  const top = Math.max(0.01, ...of.culled.map(([, , , high]) => high));
  const step = top > 0.2 ? 0.1 : top > 0.08 ? 0.02 : 0.01;
  return (
    <section class="stack">
      <h2>
        {words} <small>held to be a single recessive</small>
      </h2>
      <div class="spread">
        <div class="stack">
          <FigureLine name="Frequency of its gene" figure={of.frequency} today={today.value} />
          <FigureLine
            name="Carriers among birds that do not show it"
            figure={of.carriers}
            today={today.value}
          />
          {of.frequency.value === null ? (
            <p class="quiet">
              The gene’s frequency is the root of the share only where parents meet at random. In closed or
              selected cages it is told by test matings: see below.
            </p>
          ) : (
            <p class="quiet">
              By your word that the parents meet at random; in closed or selected cages it does not hold.
            </p>
          )}
        </div>
        {of.culled.length > 0 && (
          <Chart
            summary={
              `Culling every chick that shows it: ${percent(of.culled[0]?.[1] ?? 0)} of the chicks now, ` +
              `${percent(of.culled[5]?.[1] ?? 0)} after 5 generations. ` +
              (likely === undefined
                ? ''
                : `Below ${percent(of.rare_enough)} after ${likely} generations (${best} to ${worst}).`)
            }
            x={{ label: 'Generations of culling', from: 0, to: of.culled.length - 1, step: 2, show: String }}
            y={{
              label: '% of chicks that show it',
              from: 0,
              to: top,
              step,
              show: (v) => (v * 100).toFixed(0),
            }}
            series={[
              { draw: 'band', name: '95 %', points: of.culled.map(([t, , low, high]) => [t, low, high]) },
              { draw: 'line', name: 'Likely', points: of.culled.map(([t, share]) => [t, share]) },
            ]}
            head={['Generations', 'Likely', 'Low', 'High']}
            rows={of.culled.map(([t, ...shares]) => [t, ...shares.map(percent)])}
          />
        )}
      </div>
    </section>
  );
}

const MATES: Record<TestMate, string> = {
  shows_it: 'Hens that show it',
  known_carrier: 'Hens known to carry it',
  own_daughters: 'His own daughters, of hens free of it',
};

/** How many test chicks would clear a cock. */
export function TestMatings({ page }: { page: TrueToTypePage }) {
  return (
    <section class="stack">
      <h2>Test chicks that clear a cock</h2>
      <p>
        So many chicks, of which not one shows the class, and a carrier would have shown himself with that
        sureness. One chick that shows it, and he carries it.
      </p>
      <div class="table-holder">
        <table class="figures-table">
          <thead>
            <tr>
              <th scope="col">Mated to</th>
              <th scope="col">95 %</th>
              <th scope="col">99 %</th>
            </tr>
          </thead>
          <tbody>
            {page.clear.map(({ mate, chicks: [sure95, sure99] }) => (
              <tr key={mate}>
                <td>{MATES[mate] ?? mate}</td>
                <td>{sure95} chicks</td>
                <td>{sure99} chicks</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <details>
        <summary>How likely he still carries it after some clear chicks</summary>
        <div class="table-holder">
          <table class="figures-table">
            <thead>
              <tr>
                <th scope="col">Mated to</th>
                <th scope="col">Clear chicks</th>
                <th scope="col">One parent carries it</th>
                <th scope="col">Both do</th>
              </tr>
            </thead>
            <tbody>
              {page.carrier.flatMap(({ mate, left }) =>
                left.map(([n, one, both]) => (
                  <tr key={`${mate} ${n}`}>
                    <td>{MATES[mate] ?? mate}</td>
                    <td>{n}</td>
                    <td>{percent(one)}</td>
                    <td>{percent(both)}</td>
                  </tr>
                )),
              )}
            </tbody>
          </table>
        </div>
      </details>
    </section>
  );
}
