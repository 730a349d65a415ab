import { useRef, useState } from 'preact/hooks';
import type { ChoosingPage, GroupToChoose } from '../../book/choosing-page.ts';
import type { PageFigure } from '../../book/house-pages.ts';
import { farm, type Id, type LineRow, today } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Choice } from '../../parts/choice.tsx';
import { showDay } from '../../parts/days.ts';
import { FigureLine } from '../../parts/figure-line.tsx';
import { inUnit, missingSentence } from '../../parts/figure-words.ts';
import type { Params } from '../../parts/route.ts';
import { showDifference, showWeight, type Unit } from '../../parts/weight.ts';
import { housePage } from '../frame/house-pages.ts';
import { OfLine } from '../frame/of-line.tsx';
import { BirdsToChoose } from './birds.tsx';
import './choosing.css';
import { CutChart } from './cut-chart.tsx';
import {
  birdsOfGroup,
  gainOf,
  inbreedingOf,
  keptAt,
  type Numbers,
  offTypes,
  rowOf,
  staying,
} from './reading.ts';

/** A brood, or all living birds of a line, at the standard age: who stays, and what that would do. It only proposes. */
export function Choosing({ line }: Params) {
  return (
    <OfLine
      page="choosing"
      title="Choosing"
      at="/choosing"
      line={line}
      none="The house has not reckoned this yet. It does so after a weigh day has come in."
    >
      {(page) => <OfALine key={page.line.id} body={page.body} line={page.line} />}
    </OfLine>
  );
}

function OfALine({ body, line }: { body: ChoosingPage; line: LineRow }) {
  const [chosen, setChosen] = useState<string | null>(null);
  const group = body.groups.find((each) => each.key === chosen) ?? body.groups[0];
  if (!group)
    return (
      <p>
        No living bird of this line has a weight within 7 days of its standard age, day{' '}
        {body.standard_age_days}. After a weigh day they stand here.
      </p>
    );
  return (
    <>
      {body.groups.length > 1 && (
        <Choice
          label="Which birds"
          labelOnlyRead
          value={group.key}
          options={body.groups.map((each) => ({
            value: each.key,
            name: each.code === null ? 'The whole line' : `Brood ${each.code}`,
            detail: amount(each.sexes.cock.birds + each.sexes.hen.birds, 'bird'),
          }))}
          onChoose={setChosen}
        />
      )}
      <Cuts key={group.key} body={body} group={group} line={line} />
    </>
  );
}

/** The line's cut where it has one; else the heaviest quarter of the cocks and half of the hens, to begin with. */
function begun(group: GroupToChoose, line: LineRow): Numbers {
  const { cock, hen } = group.sexes;
  return {
    cock: line.cock_cut_g === null ? Math.ceil(cock.birds / 4) : keptAt(cock.by_kept, line.cock_cut_g),
    hen: line.hen_cut_g === null ? Math.ceil(hen.birds / 2) : keptAt(hen.by_kept, line.hen_cut_g),
  };
}

function Cuts({ body, group, line }: { body: ChoosingPage; group: GroupToChoose; line: LineRow }) {
  const [numbers, setNumbers] = useState(() => begun(group, line));
  // The list of birds follows once the cut is let go: while it is dragged only what is read from the table is drawn.
  const [settled, setSettled] = useState(numbers);
  // A key press moves and lets go in one go, before the page is drawn again.
  const latest = useRef(numbers);
  const keep = (sex: keyof Numbers) => (kept: number) => {
    if (kept === latest.current[sex]) return;
    latest.current = { ...latest.current, [sex]: kept };
    setNumbers(latest.current);
  };
  const unit: Unit = farm.value?.weight_unit ?? 'g';
  const birds = birdsOfGroup(body, group);
  return (
    <>
      <p class="quiet">
        Weights at day {body.standard_age_days}, weighed {showDay(group.first_day, today.value)}
        {group.last_day !== group.first_day && ` to ${showDay(group.last_day, today.value)}`}; those of other
        days carried along the line’s curve. Drag the cut.
      </p>
      <div class="cuts">
        {(['cock', 'hen'] as const).map(
          (sex) =>
            group.sexes[sex].birds > 0 && (
              <CutChart
                key={sex}
                group={group}
                sex={sex}
                birds={birds}
                kept={numbers[sex]}
                unit={unit}
                onKeep={keep(sex)}
                onSettled={() => setSettled(latest.current)}
              />
            ),
        )}
      </div>
      <Result body={body} group={group} numbers={numbers} unit={unit} line={line.id} />
      <BirdsToChoose body={body} birds={birds} staying={staying(birds, settled)} unit={unit} />
    </>
  );
}

const percent = (share: number, places = 0) => `${(share * 100).toFixed(places)} %`;

interface ResultProps {
  body: ChoosingPage;
  group: GroupToChoose;
  numbers: Numbers;
  unit: Unit;
  line: Id;
}

/** What off-types weigh against the type, hatch mates of one sex compared, and what culling them takes from the line. */
function CullingCosts({ line }: { line: Id }) {
  const weights = housePage('true_to_type', line)?.body.weights.find(({ key }) => key === '');
  if (!weights) return null;
  const unit = farm.value?.weight_unit ?? 'g';
  const inTheirUnit = (figure: PageFigure) => inUnit({ ...figure, computed_at: 0 }, unit);
  return (
    <>
      <FigureLine
        name="Off-types over the type, sex and brood held equal"
        figure={inTheirUnit(weights.difference)}
        today={today.value}
      />
      <FigureLine
        name="The line’s mean, were they all culled"
        figure={inTheirUnit(weights.cost)}
        today={today.value}
      />
    </>
  );
}

function Result({ body, group, numbers, unit, line }: ResultProps) {
  const birds = birdsOfGroup(body, group);
  const kept = staying(birds, numbers);
  const gain = gainOf(group, numbers);
  const [before, after] = [offTypes(body, birds), offTypes(body, kept)];
  const inbred = inbreedingOf(body, kept);
  const weight = (grams: number) => showWeight(grams, unit, 'bird');
  const small = (grams: number) => showDifference(grams, unit);
  const means = (['cock', 'hen'] as const).flatMap((sex) => {
    const row = rowOf(group, sex, numbers[sex]);
    return row ? [`${sex}s ${weight(row.differential_g)} over the mean of all`] : [];
  });
  return (
    <section class="result" aria-live="polite">
      <h2>What it would do</h2>
      <dl>
        <div>
          <dt>Stay</dt>
          <dd>
            {amount(numbers.cock, 'cock')} of {group.sexes.cock.birds}, {amount(numbers.hen, 'hen')} of{' '}
            {group.sexes.hen.birds}
            {means.length > 0 && <small>{means.join('; ')}</small>}
          </dd>
        </div>
        <div>
          <dt>The next generation gains</dt>
          <dd>
            {gain ? (
              <>
                <b>{small(gain[0])}</b> ({small(gain[1])} to {small(gain[2])})
                <small>
                  n = {birds.length} birds weighed; expected of many chicks, a small brood scatters about it.{' '}
                  <HeritabilityWords body={body} />
                </small>
              </>
            ) : (
              <>Cocks and hens must both stay, of 5 or more of each.</>
            )}
          </dd>
        </div>
        <div>
          <dt>Off-types</dt>
          <dd>
            {before && after ? (
              <>
                {after.off} of {after.seen} that stay, {before.off} of {before.seen} before
                <small>birds whose plumage was seen</small>
              </>
            ) : (
              'Nobody saw the plumage of these birds.'
            )}
            <CullingCosts line={line} />
          </dd>
        </div>
        <div>
          <dt>Inbreeding of their chicks, met by chance</dt>
          <dd>
            {body.kin === null
              ? missingSentence(body)
              : inbred === null
                ? 'A cock and a hen must stay.'
                : percent(inbred, 1)}
            {body.kin !== null && inbred !== null && (
              <small>
                {body.kin.all_parents_known
                  ? 'from the parents the book knows; beyond them all are taken to be unrelated'
                  : 'not all their parents are known: it is at least so much'}
              </small>
            )}
          </dd>
        </div>
      </dl>
      {body.heritability.figure && (
        <details>
          <summary>How much of a weight is passed on</summary>
          <FigureLine
            name="Heritability from this line’s weights"
            figure={body.heritability.figure}
            today={today.value}
          />
        </details>
      )}
    </section>
  );
}

function HeritabilityWords({ body: { heritability: h } }: { body: ChoosingPage }) {
  return h.from === 'records' ? (
    <>Heritability {h.used.toFixed(2)} from the line’s own weights.</>
  ) : (
    <>
      Heritability taken to be {h.used.toFixed(2)} ({h.low.toFixed(2)} to {h.high.toFixed(2)}): the line’s own
      weights do not tell it yet.
    </>
  );
}
