import { useMemo, useState } from 'preact/hooks';
import {
  type BirdRow,
  birdsOf,
  broods,
  type CageRow,
  cages,
  doubt,
  farm,
  me,
  write,
} from '../../book/index.ts';
import { amount, amounts } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { PickField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { go, type Params } from '../../parts/route.ts';
import { showWeight } from '../../parts/weight.ts';
import { BookPage } from '../frame/book-page.tsx';
import { type Whose, whoseNumber } from '../frame/called.ts';
import { useWriting } from '../frame/use-writing.ts';
import { who } from '../frame/who.ts';
import { placedUnnamed, placings, toMove, type Which } from './going.ts';
import './sexing-day.css';

/** The end of sexing day: hens and cocks into their cages in one step. It changes the hens that the lay rate stands on. */
export function MoveBrood({ brood: id }: Params) {
  const brood = broods.value.find((b) => b.id === id);
  const birds = useMemo(() => birdsOf(id ?? ''), [id]).value;
  const [which, setWhich] = useState<Which>('all');
  const [hensTo, setHensTo] = useState('');
  const [cocksTo, setCocksTo] = useState('');
  const [left, setLeft] = useState<ReadonlySet<string>>(new Set());
  const [doubted, setDoubted] = useState<string | null>(null);
  const { wrong, busy, run } = useWriting();
  const back = brood
    ? { href: `/brood/${brood.id}`, name: brood.code }
    : { href: '/sexing', name: 'Sexing day' };
  if (!brood || !birds)
    return (
      <BookPage title="To their cages" back={back}>
        {birds && <p>This brood is not on the phone yet. It comes with the next sync.</p>}
      </BookPage>
    );
  const unit = farm.value?.weight_unit ?? 'g';
  const keepers = birds.some((b) => b.decision === 'keep' && b.gone === null && b.cage === null);
  const open = cages.value.filter((c) => !c.closed);
  const hens = toMove(birds, 'hen', which);
  const cocks = toMove(birds, 'cock', which);
  const going = (list: BirdRow[]) => list.filter((b) => !left.has(b.id));
  const whose = whoseNumber(birds, who);
  const unnamed = placedUnnamed(brood, birds);
  const bodies = placings(brood.id, {
    hens: hensTo === '' ? null : { cage: hensTo, birds: going(hens) },
    cocks: cocksTo === '' ? null : { cage: cocksTo, birds: going(cocks) },
  });
  const total = bodies.reduce((n, b) => n + b.hens + b.cocks, 0);
  const options = [{ value: '', name: 'They stay where they are' }, ...open.map(asOption)];
  const keep = () => {
    const said =
      doubted === null ? bodies.map((body) => doubt('birds_placed', body)).find((s) => s !== null) : null;
    if (said) return setDoubted(said);
    void run(async () => {
      for (const body of bodies) await write('birds_placed', body);
    }).then((done) => done && go(`/brood/${brood.id}`, 'replace'));
  };
  const toggle = (bird: string) => {
    const next = new Set(left);
    if (!next.delete(bird)) next.add(bird);
    setLeft(next);
  };
  return (
    <BookPage title={`${brood.code} to their cages`} back={back}>
      {keepers && (
        <Choice
          label="Which birds"
          value={which}
          onChoose={setWhich}
          options={[
            { value: 'all', name: 'All' },
            { value: 'keep', name: 'Only those to keep' },
          ]}
        />
      )}
      {unnamed > 0 && (
        <Notice>
          <p>
            {amount(unnamed, 'bird')} of this brood {unnamed === 1 ? 'was' : 'were'} placed before without
            saying which. Leave them out of these lists.
          </p>
        </Notice>
      )}
      <div class="spread">
        <Side
          name="Hens"
          birds={hens}
          to={hensTo}
          options={options}
          onTo={setHensTo}
          left={left}
          onToggle={toggle}
          unit={unit}
          whose={whose}
        />
        <Side
          name="Cocks"
          birds={cocks}
          to={cocksTo}
          options={options}
          onTo={setCocksTo}
          left={left}
          onToggle={toggle}
          unit={unit}
          whose={whose}
        />
      </div>
      {bodies.map((body) => (
        <p key={body.cage}>
          {afterWords(
            open.find((c) => c.id === body.cage),
            body,
          )}
        </p>
      ))}
      {doubted !== null && (
        <Notice kind="refused">
          <p>{doubted}</p>
        </Notice>
      )}
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={total === 0 || busy || me.value?.role === 'onlooker'} onClick={keep}>
        {total === 0 ? 'Say which cage' : `${doubted === null ? '' : 'Yes, '}move ${amount(total, 'bird')}`}
      </Button>
      <p class="quiet">Birds that nobody looked at one by one are placed by number, from the brood's page.</p>
    </BookPage>
  );
}

interface SideProps {
  name: string;
  birds: BirdRow[];
  to: string;
  options: { value: string; name: string }[];
  onTo: (cage: string) => void;
  left: ReadonlySet<string>;
  onToggle: (bird: string) => void;
  unit: 'g' | 'oz';
  whose: Whose;
}

function Side({ name, birds, to, options, onTo, left, onToggle, unit, whose }: SideProps) {
  const going = birds.filter((b) => !left.has(b.id)).length;
  return (
    <section class="stack">
      <h2>
        {name}{' '}
        <small class="quiet">{going === birds.length ? birds.length : `${going} of ${birds.length}`}</small>
      </h2>
      {birds.length === 0 ? (
        <p class="quiet">None to move.</p>
      ) : (
        <>
          <PickField label={`${name} into`} value={to} options={options} onPick={onTo} />
          <ul class="ticks" aria-label={`${name} that go`}>
            {birds.map((bird) => (
              <li key={bird.id}>
                <label>
                  <input type="checkbox" checked={!left.has(bird.id)} onChange={() => onToggle(bird.id)} />
                  <b>{bird.number}</b>
                  <span>
                    {[
                      whose(bird) === '' ? '' : `number ${whose(bird)}`,
                      bird.band === null ? '' : `band ${bird.band}`,
                      bird.last_weight_g === null ? '' : showWeight(bird.last_weight_g, unit, 'bird'),
                      bird.decision ?? '',
                    ]
                      .filter(Boolean)
                      .join(', ')}
                  </span>
                </label>
              </li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}

const heads = (c: { hens: number; cocks: number }) =>
  amounts([
    [c.hens, 'hen'],
    [c.cocks, 'cock'],
  ]);

const asOption = (cage: CageRow) => ({ value: cage.id, name: `${cage.code}: ${heads(cage) || 'empty'}` });

function afterWords(cage: CageRow | undefined, more: { hens: number; cocks: number }): string {
  if (!cage) return '';
  const then = { hens: cage.hens + more.hens, cocks: cage.cocks + more.cocks };
  return `Cage ${cage.code}: ${heads(cage) || 'empty'} now, ${heads(then)} after.`;
}
