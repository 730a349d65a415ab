import { useState } from 'preact/hooks';
import { birdsRead, cages, type Id, me, today, write } from '../../book/index.ts';
import type { MatingBird, MatingPage, MatingStand } from '../../book/mating-page.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { showDay } from '../../parts/days.ts';
import { missingSentence } from '../../parts/figure-words.ts';
import { Notice } from '../../parts/notice.tsx';
import type { Params } from '../../parts/route.ts';
import { OfLine } from '../frame/of-line.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { asTheyStand, coancestryOf, expected, placings, swapped, worst } from './plan.ts';
import { SoFar } from './so-far.tsx';
import './mating.css';

/** Who to whom: keepers to cages, what each pair and each swap costs, a card for each cage. */
export function Mating({ line }: Params) {
  return (
    <OfLine
      page="mating"
      title="Mating"
      at="/mating"
      line={line}
      none="The house has not reckoned this yet. It does so after birds have been placed or kept by their bands."
    >
      {({ body, line: of }) => <PlanOfLine key={of.id} page={body} line={of.name} />}
    </OfLine>
  );
}

export const percent = (share: number): string => `${(share * 100).toFixed(2)} %`;

const cageNow =
  (page: MatingPage) =>
  (bird: Id): Id | null =>
    birdsRead.value.get(bird)?.cage ?? page.birds.find((each) => each.bird === bird)?.cage ?? null;

function PlanOfLine({ page, line }: { page: MatingPage; line: string }) {
  const planned = page.plan?.stands ?? [];
  const [changed, setChanged] = useState<MatingStand[] | null>(null);
  const [chosen, setChosen] = useState<Id | null>(null);
  const [other, setOther] = useState<Id | null>(null);
  const stands = changed ?? planned;
  const bird = (id: Id | null): MatingBird | undefined => page.birds.find((each) => each.bird === id);
  const tap = (id: Id) => {
    const first = bird(chosen);
    if (chosen === id) setChosen(null);
    else if (first && first.sex === bird(id)?.sex) setOther(id);
    else setChosen(id);
    if (chosen === id || !first) setOther(null);
  };
  const leave = () => {
    setChosen(null);
    setOther(null);
  };
  return (
    <>
      {page.missing && <p>{missingSentence(page)}</p>}
      {page.no_plan && <NoPlan page={page} />}
      {page.plan && (
        <>
          <Summary page={page} stands={stands} changed={changed !== null} />
          {chosen !== null && (
            <div class="mating-swap not-printed">
              <Swap
                page={page}
                stands={stands}
                bird={bird(chosen)}
                other={bird(other)}
                onSwap={(after) => {
                  setChanged(after);
                  leave();
                }}
                onLeave={leave}
              />
            </div>
          )}
          <div class="side-by-side not-printed">
            <Button onClick={() => window.print()}>Print a card for each cage</Button>
            {changed !== null && <Button onClick={() => setChanged(null)}>Back to the plan</Button>}
          </div>
          <div class="mating-cards">
            {stands.map((stand) => (
              <Card key={stand.cage} page={page} stand={stand} line={line} chosen={chosen} onTap={tap} />
            ))}
          </div>
          <LeftOut page={page} stands={stands} chosen={chosen} onTap={tap} />
        </>
      )}
      <SoFar page={page} planned={expected(page, stands)} />
      <p class="quiet">
        A proposal. Founders, birds bought in and parents not known by their bands are taken as unrelated;
        where the parents are a cage, each of its birds counts with its share. You decide who stands where.
      </p>
    </>
  );
}

const nameOf = (page: MatingPage, id: Id): string =>
  page.birds.find((each) => each.bird === id)?.name ?? 'a bird';

function Summary({ page, stands, changed }: { page: MatingPage; stands: MatingStand[]; changed: boolean }) {
  const plan = page.plan;
  if (!plan) return null;
  const now = expected(page, asTheyStand(page, cageNow(page)));
  const mean = expected(page, stands);
  const most = worst(page, stands);
  return (
    <section class="stack" aria-live="polite">
      <h2>{changed ? 'The plan, changed by you' : 'The plan'}</h2>
      <p class="mating-mean">
        Inbreeding expected of the chicks: <strong>{mean === null ? 'none' : percent(mean)}</strong>
        <small>
          mean over{' '}
          {amount(
            stands.reduce((n, { hens }) => n + hens.length, 0),
            'hen',
          )}{' '}
          and{' '}
          {amount(
            stands.reduce((n, { cocks }) => n + cocks.length, 0),
            'cock',
          )}{' '}
          in {amount(stands.length, 'cage')}; at random {percent(plan.at_random)}
          {now !== null && `, as they stand now ${percent(now)}`}
          {changed && `, the house’s plan ${percent(plan.expected)}`}
        </small>
      </p>
      <p>
        {most &&
          `Worst pair: ${nameOf(page, most.cock)} with ${nameOf(page, most.hen)}, ${percent(most.coancestry)}. `}
        {!changed &&
          (plan.gap === 0
            ? 'No plan within these cages is better.'
            : `A better plan could save ${percent(plan.gap)} at most.`)}
      </p>
    </section>
  );
}

interface SwapProps {
  page: MatingPage;
  stands: MatingStand[];
  bird: MatingBird | undefined;
  other: MatingBird | undefined;
  onSwap: (after: MatingStand[]) => void;
  onLeave: () => void;
}

/** What it costs to let two birds change places, before it is done. */
function Swap({ page, stands, bird, other, onSwap, onLeave }: SwapProps) {
  if (!bird) return null;
  if (!other)
    return (
      <Notice>
        <p>
          {bird.name} is chosen. Tap another {bird.sex} to see what it costs to let the two change places.
        </p>
        <Button onClick={onLeave}>Leave it</Button>
      </Notice>
    );
  const after = swapped(stands, bird.bird, other.bird);
  const [before, then] = [expected(page, stands) ?? 0, expected(page, after) ?? 0];
  const most = worst(page, after);
  const change = then - before;
  return (
    <Notice>
      <p>
        {bird.name} and {other.name} change places:{' '}
        <strong>
          {Math.abs(change) < 5e-7
            ? 'it costs nothing'
            : `${change > 0 ? 'it costs' : 'it saves'} ${percent(Math.abs(change))}`}
        </strong>
        , {percent(then)} expected then. {most && `Worst pair then: ${percent(most.coancestry)}.`}
        {most && page.plan && most.coancestry > page.plan.limit && (
          <b class="late"> That is closer than {percent(page.plan.limit)}, the most for any pair.</b>
        )}
      </p>
      <div class="side-by-side">
        <Button kind="main" onClick={() => onSwap(after)}>
          Let them change places
        </Button>
        <Button onClick={onLeave}>Leave it</Button>
      </div>
    </Notice>
  );
}

interface CardProps {
  page: MatingPage;
  stand: MatingStand;
  line: string;
  chosen: Id | null;
  onTap: (bird: Id) => void;
}

/** A cage's card: who stands in it, where each comes from, and how near each hen is to its cock. */
function Card({ page, stand, line, chosen, onTap }: CardProps) {
  const code = page.cages?.find((each) => each.cage === stand.cage)?.code ?? '';
  const { wrong, busy, run } = useWriting();
  const cageOf = cageNow(page);
  const moves = placings(page, stand, cageOf);
  const birds = moves.reduce((n, move) => n + move.birds.length, 0);
  const hereNow = page.birds.filter((each) => cageOf(each.bird) === stand.cage).map((each) => each.bird);
  const away = hereNow.filter((id) => ![...stand.cocks, ...stand.hens].includes(id)).length;
  const place = () =>
    run(async () => {
      for (const body of moves) await write('birds_placed', body);
    });
  return (
    <section class="mating-card" aria-label={`Cage ${code}`}>
      <h3>
        {code} <small>{line}</small>
      </h3>
      <ul>
        {[...stand.cocks, ...stand.hens].map((id) => (
          <li key={id}>
            <button type="button" aria-pressed={chosen === id} onClick={() => onTap(id)}>
              <BirdWords page={page} id={id} stand={stand} cageOf={cageOf} />
            </button>
          </li>
        ))}
      </ul>
      {me.value?.role !== 'onlooker' && birds > 0 && (
        <Button disabled={busy} onClick={() => void place()}>
          Put {amount(birds, 'bird')} into {code}
        </Button>
      )}
      {birds === 0 && <p class="quiet not-printed">They stand there.</p>}
      {birds > 0 && away > 0 && (
        <p class="quiet not-printed">{amount(away, 'other bird')} of the plan still in it.</p>
      )}
      {wrong !== null && <p class="late">{wrong}</p>}
    </section>
  );
}

interface WordsProps {
  page: MatingPage;
  id: Id;
  stand: MatingStand;
  cageOf: (bird: Id) => Id | null;
}

function BirdWords({ page, id, stand, cageOf }: WordsProps) {
  const bird = page.birds.find((each) => each.bird === id);
  if (!bird) return null;
  const from = cageOf(id);
  const where =
    from === null
      ? 'not placed'
      : from === stand.cage
        ? ''
        : `from ${cages.value.find((c) => c.id === from)?.code ?? '?'}`;
  const near =
    bird.sex === 'cock'
      ? null
      : stand.cocks.map((cock) => coancestryOf(page, cock, id)).filter((each) => each !== null);
  return (
    <>
      <b>{bird.sex}</b> <strong>{bird.name}</strong>
      <small>
        {[
          `brood ${bird.brood_code}, ${showDay(bird.hatched_on, today.value)}`,
          where,
          near && near.length > 0 ? `chicks ${near.map(percent).join(', ')}` : '',
        ]
          .filter(Boolean)
          .join(' · ')}
      </small>
    </>
  );
}

interface LeftOutProps {
  page: MatingPage;
  stands: MatingStand[];
  chosen: Id | null;
  onTap: (bird: Id) => void;
}

function LeftOut({ page, stands, chosen, onTap }: LeftOutProps) {
  const placed = new Set(stands.flatMap(({ cocks, hens }) => [...cocks, ...hens]));
  const left = page.birds.filter((bird) => !placed.has(bird.bird));
  const too_old = page.too_old ?? [];
  const no_place = page.no_place ?? [];
  if (left.length + too_old.length + no_place.length === 0) return null;
  return (
    <section class="stack not-printed">
      <h2>Not in the plan</h2>
      {left.length > 0 && (
        <ul class="mating-left">
          {left.map(({ bird, name, sex }) => (
            <li key={bird}>
              <button type="button" aria-pressed={chosen === bird} onClick={() => onTap(bird)}>
                <b>{sex}</b> <strong>{name}</strong>
                <small>left over: can change places with another {sex}</small>
              </button>
            </li>
          ))}
        </ul>
      )}
      {no_place.length > 0 && (
        <p>
          No place in these cages for {no_place.map((bird) => bird.name).join(', ')}: the youngest come first.
        </p>
      )}
      {too_old.length > 0 && (
        <p>Past the line’s breeding life: {too_old.map((bird) => bird.name).join(', ')}.</p>
      )}
    </section>
  );
}

function NoPlan({ page }: { page: MatingPage }) {
  const none = page.no_plan;
  if (!none) return null;
  return (
    <Notice kind="refused">
      <p>
        No plan keeps every pair at {percent(none.limit)} or under; the least that can be kept is{' '}
        {percent(none.least_worst)}. In the way stand {none.birds.map((id) => nameOf(page, id)).join(', ')}
        {none.pairs.length > 0 &&
          `: ${none.pairs.map(([cock, hen, f]) => `${nameOf(page, cock)} with ${nameOf(page, hen)} ${percent(f)}`).join('; ')}`}
        .
      </p>
    </Notice>
  );
}
