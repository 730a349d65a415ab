import { farm, today } from '../../book/index.ts';
import type { OffTypeWeight, PlumageShare, TrueToTypePage } from '../../book/true-to-type-page.ts';
import { amount } from '../../parts/amount.ts';
import { showDay } from '../../parts/days.ts';
import { FigureLine } from '../../parts/figure-line.tsx';
import { inUnit, missingSentence } from '../../parts/figure-words.ts';
import type { Params } from '../../parts/route.ts';
import { OfLine } from '../frame/of-line.tsx';
import { Claim } from './claim.tsx';
import { OneRecessive, TestMatings } from './recessive.tsx';
import './true-to-type.css';

/** Does the line hatch as it is sold, what would culling do, and what would it cost. */
export function TrueToType({ line }: Params) {
  return (
    <OfLine
      page="true_to_type"
      title="True to type"
      at="/true-to-type"
      line={line}
      none="The house has not reckoned the plumage yet. It does so after chicks have been seen by their plumage."
    >
      {({ body, line: of }) => (
        <>
          <div class="spread">
            <section class="stack">
              <h2>What hatches</h2>
              <Shares page={body} />
              <Tested page={body} />
            </section>
            <section class="stack">
              <h2>What culling costs in weight</h2>
              <Weights page={body} />
              <Claim line={of} page={body} />
            </section>
          </div>
          <Recessives page={body} />
        </>
      )}
    </OfLine>
  );
}

function Shares({ page }: { page: TrueToTypePage }) {
  if (page.classes.length === 0)
    return <p>The line names no plumage classes yet. Name its type and its off-types in Set-up.</p>;
  return (
    <>
      <ul class="shares" aria-label="Plumage classes">
        {page.classes.map((each) => (
          <li key={each.key}>
            <h3>
              {each.words}{' '}
              <small>
                {each.is_type ? 'the type' : each.named ? 'off-type' : 'not among the line’s classes'}
              </small>
            </h3>
            <FigureLine figure={each.share} today={today.value} />
            <ShareBar of={each} />
            <p class="quiet">
              {amount(each.chicks, 'chick')} seen
              {each.claimed !== null && `; sold as ${percent(each.claimed)}, drawn as a long stroke`}
            </p>
          </li>
        ))}
      </ul>
      <p class="quiet">
        The intervals hold for all classes at once, at 95 %.{' '}
        {page.groups.length > 1 &&
          `Chicks of the same cages have their parents in common: the ${page.groups.length} groups of cages are what counts as apart.`}
      </p>
      <details>
        <summary>Chicks by the cages that their eggs came from</summary>
        <div class="table-holder">
          <table class="figures-table">
            <thead>
              <tr>
                <th scope="col">Cages</th>
                {page.classes.map((each) => (
                  <th key={each.key} scope="col">
                    {each.words}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {page.groups.map((group) => (
                <tr key={group.cages.join()}>
                  <td>{group.cages.join(', ')}</td>
                  {group.chicks.map((n, at) => (
                    <td key={page.classes[at]?.key}>{n}</td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </details>
    </>
  );
}

const percent = (share: number): string => `${(share * 100).toFixed(share < 0.1 ? 1 : 0)} %`;

/** The interval between none and all chicks, and what is claimed. The words above say the same. */
function ShareBar({ of: { share, claimed } }: { of: PlumageShare }) {
  if (share.value === null || share.low === null || share.high === null) return null;
  const x = (part: number) => Math.min(1, Math.max(0, part)) * 100;
  return (
    <svg class="interval-bar" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
      <path d="M0 5 H100 M0 2 V8 M25 3.5 V6.5 M50 2.5 V7.5 M75 3.5 V6.5 M100 2 V8" class="ruler" />
      <path d={`M${x(share.low)} 5 H${x(share.high)}`} class="between" />
      <path d={`M${x(share.value)} 1 V9`} class="at" />
      {claimed !== null && <path d={`M${x(claimed)} 0 V10`} class="claimed" />}
    </svg>
  );
}

/** Whether the line hatches as it is sold. */
function Tested({ page }: { page: TrueToTypePage }) {
  const { claim } = page;
  return (
    <section class="stack">
      <h3>Is it sold as it hatches?</h3>
      {!claim && <p>Nothing is claimed of this line yet, so there is nothing to test.</p>}
      {claim && claim.p.value === null && <p>{missingSentence(claim.p)}</p>}
      {claim && claim.p.value !== null && (
        <p>
          <strong class={claim.p.value < 0.05 ? 'late' : undefined}>{verdict(claim.p.value)}</strong> If the
          claim held, a hatch at least as far from it would come {howOften(claim.p.value)} (p ={' '}
          {p(claim.p.value)}; n = {amount(claim.p.n, 'chick')} in {amount(claim.groups, 'group')} of cages
          {claim.p.first_day && claim.p.last_day && `, hatched ${days(claim.p.first_day, claim.p.last_day)}`}
          ). The claim was written on {showDay(claim.said_on ?? '', today.value)}.
        </p>
      )}
      <p class="quiet">
        To see a class at all with 95 % sureness:{' '}
        {page.rare.map(({ share, chicks }) => `one of ${percent(share)} among ${chicks} chicks`).join(', ')}.
      </p>
    </section>
  );
}

const days = (first: string, last: string) =>
  first === last
    ? showDay(first, today.value)
    : `${showDay(first, today.value)} to ${showDay(last, today.value)}`;

const p = (value: number): string => (value < 0.001 ? 'below 0.001' : value.toFixed(value < 0.01 ? 3 : 2));

const howOften = (value: number): string =>
  value < 0.001
    ? 'less than once in 1,000 lines'
    : `in ${Math.round(value * 100) || 'fewer than 1'} of 100 lines`;

const verdict = (value: number): string =>
  value < 0.05 ? 'It does not hatch as it is sold.' : 'What hatched does not speak against the claim.';

function Weights({ page }: { page: TrueToTypePage }) {
  const unit = farm.value?.weight_unit ?? 'g';
  if (page.weights.length === 0)
    return <p>The line names no off-types, so there is nothing to weigh against its type.</p>;
  return (
    <>
      {page.weights.map((each) => (
        <section key={each.key} class="of-class">
          <h3>{each.key === '' ? 'All off-types together' : wordsOf(page, each)}</h3>
          <FigureLine
            name={(each.difference.value ?? 1) < 0 ? 'Against the type' : 'Heavier than the type by'}
            figure={inUnit({ ...each.difference, computed_at: 0 }, unit)}
            today={today.value}
          />
          <FigureLine
            name="Culling them changes the line’s mean weight by"
            figure={inUnit({ ...each.cost, computed_at: 0 }, unit)}
            today={today.value}
            spanSaid
          />
          {each.difference.notes.includes('stated_growth') && (
            <p class="quiet">Some were carried to the weighing age by a stated growth, not the line’s own.</p>
          )}
        </section>
      ))}
      <p class="quiet">
        At the weighing age, sex and brood held equal. A figure, not an advice: whom to keep is yours to
        decide.
      </p>
    </>
  );
}

const wordsOf = (page: TrueToTypePage, { key }: OffTypeWeight): string =>
  page.classes.find((each) => each.key === key)?.words ?? key;

function Recessives({ page }: { page: TrueToTypePage }) {
  if (page.recessive.length === 0)
    return (
      <section class="stack">
        <h2>A class held to be a single recessive</h2>
        <p>
          None is. Say above which class you hold to be one: then its gene’s frequency, its carriers, and what
          generations of culling would do are shown here.
        </p>
        <TestMatings page={page} />
      </section>
    );
  return (
    <>
      {page.recessive.map((each) => (
        <OneRecessive key={each.key} page={page} of={each} />
      ))}
      <TestMatings page={page} />
    </>
  );
}
