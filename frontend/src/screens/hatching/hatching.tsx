import type { HatchingPage } from '../../book/hatching-page.ts';
import type { PageFigure } from '../../book/house-pages.ts';
import { today } from '../../book/index.ts';
import { Chart } from '../../parts/chart.tsx';
import { daysFrom, showDay } from '../../parts/days.ts';
import { FigureLine } from '../../parts/figure-line.tsx';
import { figureValue, missingSentence, nWords, spanWords } from '../../parts/figure-words.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import type { Params } from '../../parts/route.ts';
import { OfLine } from '../frame/of-line.tsx';
import './hatching.css';

/** Fertility and hatch of a line: whose male is failing, by cage, by the eggs' age, over time; home and shipped apart. */
export function Hatching({ line }: Params) {
  return (
    <OfLine
      page="hatching"
      title="Hatching"
      at="/hatching"
      line={line}
      none="The house has not reckoned the hatches yet. It does so after a setting has come in."
    >
      {({ body }) => (
        <>
          <Failing body={body} />
          <div class="spread">
            <div>
              <section class="stack">
                <h2>At home</h2>
                {body.home.map((figure) => (
                  <FigureLine
                    key={figure.name}
                    name={NAMES[figure.name] ?? figure.name}
                    figure={figure}
                    today={today.value}
                  />
                ))}
              </section>
              <section class="stack">
                <h2>Shipped</h2>
                {body.shipped.map((figure) => (
                  <FigureLine
                    key={figure.name}
                    name={NAMES[figure.name] ?? figure.name}
                    figure={figure}
                    today={today.value}
                  />
                ))}
                {body.shipped.some((figure) => figure.value !== null) && (
                  <p class="quiet">
                    As customers told it, and never pooled with home: those who report may not be like those
                    who do not.
                  </p>
                )}
              </section>
              <EggAge body={body} />
              <OverTime body={body} />
            </div>
            <div>
              <ByCage body={body} />
            </div>
          </div>
        </>
      )}
    </OfLine>
  );
}

const NAMES: Record<string, string> = {
  fertility: 'Fertile, of eggs read at candling',
  hatch_of_fertile: 'Hatched, of fertile eggs',
  hatch_of_set: 'Hatched, of all eggs set',
  shipped_hatch_of_sent: 'Hatched, of eggs sent',
  shipped_hatch_of_set: 'Hatched, of eggs that customers set',
  shipments_reported: 'Shipments told of',
};

const percent = (share: number) => `${Math.round(share * 100)} %`;

/** Nearly sure is not sure: never 100 %. */
const sure = (p: number) => (p > 0.99 ? 'more than 99 %' : percent(p));

function Failing({ body }: { body: HatchingPage }) {
  const failing = body.cages.flatMap(({ cage, code, male }) =>
    male?.missing === null && male.failing ? [{ cage, code, male }] : [],
  );
  if (failing.length === 0) return null;
  return (
    <section class="stack">
      <h2>A male may be failing</h2>
      <Ledger narrow label="Cages whose male may be failing">
        {failing.map(({ cage, code, male }) => (
          <Row key={cage} href={`/cage/${cage}`} margin={<b class="late">{code}</b>}>
            <strong>
              {percent(male.fertility)} fertile, {percent(male.others)} in the line’s other cages
            </strong>
            {male.limits && male.others_limits && (
              <span>
                95 % intervals {percent(male.limits[0])} to {percent(male.limits[1])}, of the others{' '}
                {percent(male.others_limits[0])} to {percent(male.others_limits[1])}
              </span>
            )}
            <span>How likely its male is failing: {sure(male.probability)}</span>
            <small>
              n = {male.read} eggs read, candled {showDay(male.first_day, today.value)} to{' '}
              {showDay(male.last_day, today.value)}
            </small>
          </Row>
        ))}
      </Ledger>
      <p class="quiet">
        It points at the cage: a hen that lays clear eggs looks the same. One in twenty males is taken to fail
        before any egg was seen.
      </p>
    </section>
  );
}

const ofName = (figures: PageFigure[], name: string) => figures.find((f) => f.name === name);

/** "86 % (80 to 90 %), n = 1120 eggs"; what is missing where it may not be shown. */
function words(figure: PageFigure | undefined): string {
  if (!figure) return '';
  const shown = { ...figure, computed_at: 0 };
  const value = figureValue(shown);
  return value ? `${value.value} (${value.interval}), ${nWords(shown)}` : missingSentence(shown);
}

const setWhen = ([figure]: PageFigure[]) =>
  figure ? spanWords({ ...figure, computed_at: 0 }, today.value) : '';

function ByCage({ body }: { body: HatchingPage }) {
  const fertile = (figures: PageFigure[]) => ofName(figures, 'fertility')?.value ?? 2;
  const cages = [...body.cages].sort((a, b) => fertile(a.figures) - fertile(b.figures));
  return (
    <section class="stack">
      <h2>By cage, least fertile first</h2>
      {cages.length === 0 ? (
        <p class="quiet">No eggs of this line were set from a cage in the last year.</p>
      ) : (
        <>
          <p class="quiet">Eggs set in the last year, with 95 % intervals over trays.</p>
          <Ledger narrow label="By cage">
            {cages.map(({ cage, code, figures, male }) => (
              <Row
                key={cage}
                href={`/cage/${cage}`}
                margin={<b class={male?.missing === null && male.failing ? 'late' : undefined}>{code}</b>}
              >
                <span>
                  <b>Fertile</b> {words(ofName(figures, 'fertility'))}
                </span>
                <span>
                  <b>Hatch of fertile</b> {words(ofName(figures, 'hatch_of_fertile'))}
                </span>
                <span>
                  <b>Hatch of set</b> {words(ofName(figures, 'hatch_of_set'))}
                </span>
                <small>Set {setWhen(figures)}</small>
              </Row>
            ))}
          </Ledger>
        </>
      )}
    </section>
  );
}

function EggAge({ body: { egg_age } }: { body: HatchingPage }) {
  const [first, last] = [egg_age.drawn[0], egg_age.drawn.at(-1)];
  const summary =
    first && last
      ? `The curve falls from ${percent(first[1])} of eggs set fresh to ${percent(last[1])} after ${last[0]} days in store.`.replace(
          'falls',
          last[1] < first[1] ? 'falls' : 'rises',
        )
      : missingSentence(egg_age.slope);
  return (
    <section class="stack">
      <h2>By the eggs’ age at setting</h2>
      {egg_age.points.length === 0 ? (
        <p class="quiet">No tray whose eggs’ days of lay are all known has hatched yet.</p>
      ) : (
        <Chart
          summary={summary}
          x={{ label: 'Days in store', from: 0, to: Math.max(8, last?.[0] ?? 0), show: String }}
          y={{ label: 'Hatched, of eggs set', from: 0, to: 1, step: 0.25, show: percent }}
          series={[
            {
              draw: 'dots',
              name: 'A tray',
              points: egg_age.points.map(([days, eggs, n]) => [days, n / eggs]),
            },
            ...(egg_age.drawn.length > 0
              ? [{ draw: 'line' as const, name: 'Fitted', points: egg_age.drawn }]
              : []),
          ]}
          head={['Days in store', 'Eggs set', 'Hatched']}
          rows={egg_age.points.map(([days, eggs, n]) => [days.toFixed(1), eggs, n])}
        />
      )}
      {egg_age.slope.value !== null && (
        <p class="quiet">
          Log odds of hatching for each day in store: {egg_age.slope.value?.toFixed(2)} (
          {egg_age.slope.low?.toFixed(2)} to {egg_age.slope.high?.toFixed(2)}),{' '}
          {nWords({ ...egg_age.slope, computed_at: 0 })}
          {(egg_age.slope.low ?? 0) <= 0 && (egg_age.slope.high ?? 0) >= 0
            ? '. The interval holds 0: whether they lose by waiting is not told yet.'
            : '.'}{' '}
          It holds for this store and no other.
        </p>
      )}
    </section>
  );
}

function OverTime({ body }: { body: HatchingPage }) {
  const settings = body.settings.map((setting) => ({
    ...setting,
    fertility: ofName(setting.figures, 'fertility'),
    hatch: ofName(setting.figures, 'hatch_of_set'),
  }));
  const seen = settings.filter(({ hatch }) => hatch?.value != null);
  const origin = settings[0]?.set_on;
  if (!origin || seen.length === 0) return null;
  const x = (day: string) => daysFrom(origin, day) / 7;
  const [first, last] = [seen[0], seen.at(-1)];
  const summary =
    seen.length === 1
      ? `One setting has hatched: ${words(first?.hatch)}.`
      : `${seen.length} settings have hatched: of all eggs set ${percent(first?.hatch?.value ?? 0)} of ${first?.code}, ${percent(last?.hatch?.value ?? 0)} of ${last?.code}, the last.`;
  return (
    <section class="stack">
      <h2>Over time</h2>
      <Chart
        summary={summary}
        x={{
          label: `Weeks since ${showDay(origin, today.value)}`,
          from: 0,
          to: Math.max(4, x(today.value)),
          show: String,
        }}
        y={{ label: 'Share of eggs', from: 0, to: 1, step: 0.25, show: percent }}
        series={[
          {
            draw: 'dashes',
            name: 'Fertile, of eggs read',
            points: settings.flatMap(({ set_on, fertility }) =>
              fertility?.value == null ? [] : [[x(set_on), fertility.value] as [number, number]],
            ),
          },
          {
            draw: 'line',
            name: 'Hatched, of eggs set',
            points: seen.map(({ set_on, hatch }) => [x(set_on), hatch?.value ?? 0]),
          },
        ]}
        head={['Setting', 'Set on', 'Fertile', 'Hatched of set']}
        rows={settings.map((s) => [
          s.code,
          showDay(s.set_on, today.value),
          words(s.fertility),
          words(s.hatch),
        ])}
      />
    </section>
  );
}
