import { useState } from 'preact/hooks';
import type { BirdToChoose, ChoosingPage } from '../../book/choosing-page.ts';
import { birdsOf, type Decision, me, write } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { missingSentence } from '../../parts/figure-words.ts';
import { Notice } from '../../parts/notice.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { GRAMS_PER_OUNCE, showWeight, type Unit } from '../../parts/weight.ts';
import { useWriting } from '../frame/use-writing.ts';
import { Caution } from '../leaving/caution.tsx';
import { DECISIONS, decisionName } from '../weighing/verdict.tsx';

interface Props {
  body: ChoosingPage;
  birds: readonly BirdToChoose[];
  staying: readonly BirdToChoose[];
  unit: Unit;
}

/** The birds, heaviest first. The person takes the proposal or changes it bird by bird; each decision is an entry. */
export function BirdsToChoose({ body, birds, staying, unit }: Props) {
  const { type } = body;
  const [sex, setSex] = useState<'hen' | 'cock'>('hen');
  const [at, setAt] = useState<BirdToChoose | null>(null);
  const [taking, setTaking] = useState(false);
  const stays = new Set(staying.map((bird) => bird.bird));
  const decided = useDecisions(birds);
  const open = birds.filter((bird) => bird.cage === null && decided(bird) === null);
  const owner = me.value?.role === 'owner';
  const rows = birds.filter((bird) => bird.sex === sex);
  return (
    <section class="stack">
      <h2>The birds</h2>
      {owner && open.length > 0 && (
        <Button kind="main" onClick={() => setTaking(true)}>
          Take the proposal for {amount(open.length, 'bird')}
        </Button>
      )}
      <Choice
        label="Sex"
        labelOnlyRead
        value={sex}
        options={[
          { value: 'hen', name: 'Hens' },
          { value: 'cock', name: 'Cocks' },
        ]}
        onChoose={setSex}
      />
      <div class="table-holder">
        <table class="figures-table birds-table">
          <thead>
            <tr>
              <th scope="col">Bird</th>
              <th scope="col">Weight</th>
              <th scope="col">Proposal</th>
              <th scope="col">Decided</th>
              <th scope="col">Breeding value</th>
              <th scope="col">Rank</th>
            </tr>
          </thead>
          <tbody>
            {rows.map((bird) => (
              <tr key={bird.bird} data-stays={stays.has(bird.bird) || undefined}>
                <td>
                  <a href={`/bird/${bird.brood}/${bird.bird}`}>{bird.band ?? `No. ${bird.number}`}</a>
                  {type !== null && bird.plumage !== null && bird.plumage !== type && (
                    <small> {bird.plumage}</small>
                  )}
                </td>
                <td>
                  {showWeight(bird.grams, unit, 'bird')}
                  {!bird.own_curve && <small> stated curve</small>}
                </td>
                <td>{stays.has(bird.bird) ? <b>stays</b> : 'goes'}</td>
                <td>
                  {owner && bird.cage === null ? (
                    <button type="button" class="in-cell" onClick={() => setAt(bird)}>
                      {decisionName(decided(bird)) || 'decide'}
                    </button>
                  ) : (
                    `${decisionName(decided(bird))}${bird.cage === null ? '' : ', in a cage'}`
                  )}
                </td>
                <td>
                  {bird.value_g === null ? (
                    '–'
                  ) : (
                    <>
                      {signed(bird.value_g, unit)} {unit}{' '}
                      {bird.low_g !== null && bird.high_g !== null && (
                        <small>
                          ({signed(bird.low_g, unit)} to {signed(bird.high_g, unit)})
                        </small>
                      )}
                    </>
                  )}
                </td>
                <td>{ranksOf(bird)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p class="quiet">
        A breeding value is how much over or under the line’s mean a bird’s own genes are, from its weight and
        its kin’s; half of it goes to its chicks. Ranks are among all living birds, also at other
        heritabilities where one had to be taken. {body.missing && <b>None yet: {missingSentence(body)}</b>}
      </p>
      {at && <Decide bird={at} decided={decided(at)} onClose={() => setAt(null)} />}
      {taking && <Take open={open} stays={stays} onClose={() => setTaking(false)} />}
    </section>
  );
}

const signed = (grams: number, unit: Unit): string => {
  const size = unit === 'oz' ? Math.abs(grams / GRAMS_PER_OUNCE).toFixed(2) : Math.abs(grams).toFixed(0);
  return Number(size) === 0 ? '0' : `${grams > 0 ? '+' : '−'}${size}`;
};

function ranksOf({ rank, ranks }: BirdToChoose): string {
  if (rank === null) return '–';
  const [first, last] = [Math.min(...ranks, rank), Math.max(...ranks, rank)];
  return first === last ? String(rank) : `${rank} (${first} to ${last})`;
}

/** What stands decided, this phone's unsent decisions among it. */
function useDecisions(birds: readonly BirdToChoose[]): (bird: BirdToChoose) => Decision | null {
  const here = new Map<string, Decision | null>();
  for (const brood of new Set(birds.map((bird) => bird.brood)))
    for (const bird of birdsOf(brood).value ?? []) here.set(bird.id, bird.decision);
  return (bird) => (here.has(bird.bird) ? (here.get(bird.bird) ?? null) : (bird.decision as Decision | null));
}

function Decide({
  bird,
  decided,
  onClose,
}: {
  bird: BirdToChoose;
  decided: Decision | null;
  onClose: () => void;
}) {
  const { wrong, busy, run } = useWriting();
  const decide = async (decision: Decision) => {
    const done = await run(() =>
      write('bird_decided', { bird: bird.bird, brood: bird.brood, decision, note: '' }),
    );
    if (done) onClose();
  };
  return (
    <Sheet title={`Bird ${bird.band ?? bird.number}`} onClose={onClose}>
      <Caution of="processing" />
      {wrong !== null && (
        <Notice kind="refused">
          <p>{wrong}</p>
        </Notice>
      )}
      <div class="side-by-side">
        {DECISIONS.map(({ value, name }) => (
          <Button
            key={value}
            kind={value === decided ? 'main' : 'plain'}
            aria-pressed={value === decided}
            disabled={busy}
            onClick={() => void decide(value)}
          >
            {name}
          </Button>
        ))}
      </div>
    </Sheet>
  );
}

const OTHERS: { value: Decision; name: string }[] = DECISIONS.filter(({ value }) => value !== 'keep');

function Take({
  open,
  stays,
  onClose,
}: {
  open: readonly BirdToChoose[];
  stays: ReadonlySet<string>;
  onClose: () => void;
}) {
  const [others, setOthers] = useState<Decision | null>(null);
  const { wrong, busy, run } = useWriting();
  const keep = open.filter((bird) => stays.has(bird.bird));
  const rest = open.filter((bird) => !stays.has(bird.bird));
  const take = async () => {
    const done = await run(async () => {
      for (const { bird, brood } of keep)
        await write('bird_decided', { bird, brood, decision: 'keep', note: '' });
      if (others !== null)
        for (const { bird, brood } of rest)
          await write('bird_decided', { bird, brood, decision: others, note: '' });
    });
    if (done) onClose();
  };
  return (
    <Sheet title="Take the proposal" onClose={onClose}>
      <p>
        {amount(keep.length, 'bird')} to keep: {amount(keep.filter((b) => b.sex === 'cock').length, 'cock')},{' '}
        {amount(keep.filter((b) => b.sex === 'hen').length, 'hen')}. Birds decided already, and birds in
        cages, are left as they are.
      </p>
      {rest.length > 0 && (
        <Choice
          label={`The other ${rest.length}`}
          value={others}
          options={OTHERS}
          onChoose={(value) => setOthers(value === others ? null : value)}
        />
      )}
      {others === 'process' && <Caution of="processing" />}
      {others === 'sell' && <Caution of="selling" />}
      {wrong !== null && (
        <Notice kind="refused">
          <p>{wrong}</p>
        </Notice>
      )}
      <Button kind="main" disabled={busy} onClick={() => void take()}>
        Write {amount(keep.length + (others === null ? 0 : rest.length), 'decision')}
      </Button>
    </Sheet>
  );
}
