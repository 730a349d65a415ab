import { useMemo, useState } from 'preact/hooks';
import {
  type BirdRow,
  type Bodies,
  birdsOf,
  broods,
  lines,
  me,
  newId,
  today,
  write,
} from '../../book/index.ts';
import { showAge } from '../../parts/ages.ts';
import { knock, useAwake } from '../../parts/awake.ts';
import { Button } from '../../parts/button.tsx';
import { TextField } from '../../parts/field.tsx';
import { LastLine } from '../../parts/last-line.tsx';
import { Notice } from '../../parts/notice.tsx';
import type { Params } from '../../parts/route.ts';
import { useLater } from '../../parts/use-later.ts';
import { usePressGuard } from '../../parts/use-press-guard.ts';
import { BookPage } from '../frame/book-page.tsx';
import { nextNumber } from '../frame/called.ts';
import { useLast } from '../frame/use-last.ts';
import { useBandsWorn, wornElsewhere } from './bands-worn.ts';
import { Birds } from './birds.tsx';
import { banded, nextInHand, windowOf } from './checklist.ts';
import { OtherNumber } from './other-number.tsx';
import './sexing-day.css';

type Result = Bodies['bird_sexed']['result'];
const RESULTS: [Result, string][] = [
  ['cock', 'Cock'],
  ['hen', 'Hen'],
  ['unsure', 'Not sure'],
];
const NAMES = Object.fromEntries(RESULTS) as Record<Result, string>;

/** Foam is seen in every cock by the end of week 10: Central Avian Research Institute, poulvet.com (docs/wire.md). */
const FOAM_IN_EVERY_COCK_DAYS = 70;

/** One brood in the hand, bird after bird. Where it was left, it goes on: what is left is in the book, not on this page. */
export function BroodSexing({ brood: id }: Params) {
  useAwake();
  const brood = broods.value.find((b) => b.id === id);
  const birds = useMemo(() => birdsOf(id ?? ''), [id]).value;
  const guard = usePressGuard();
  const [again, setAgain] = useState<BirdRow | null>(null);
  const [band, setBand] = useState('');
  const [own, setOwn] = useState<{ next: number } | { after: number } | null>(null);
  const [asked, setAsked] = useState(false);
  const { last, wrong, writing, put, undoLast } = useLast<BirdRow | null>();
  const worn = useBandsWorn();
  const later = useLater(birds);
  const mayWrite = me.value?.role !== 'onlooker';
  // Drawn anew only when its birds are others: not at every stroke of a band.
  const list = useMemo(
    () => later && <Birds birds={later} onLook={mayWrite ? setAgain : undefined} />,
    [later, mayWrite],
  );

  if (!brood || !birds)
    return (
      <BookPage title="Sexing day" back={{ href: '/sexing', name: 'Sexing day' }}>
        {birds && <p>This brood is not on the phone yet. It comes with the next sync.</p>}
      </BookPage>
    );

  const line = lines.value.find((l) => l.id === brood.line);
  const window = windowOf(brood, line, today.value);
  const known = banded(birds, band);
  const next = nextInHand(brood, birds);
  const bird =
    again ?? known ?? (band.trim() !== '' || next === 'done' || (own && 'next' in own) ? null : next);
  const done = bird === null && band.trim() === '' && next === 'done';
  const fresh = own && 'next' in own ? own.next : nextNumber(birds, own?.after);
  const number = bird?.number ?? fresh;

  const look = async (result: Result) => {
    if (!guard.take()) return;
    const body = {
      bird: bird?.id ?? newId(),
      brood: brood.id,
      number,
      result,
      band: bird?.band ?? (band.trim() || null), // as the book spells it, where it knows the band
    };
    const done = await put(
      {
        where: bird,
        at: `Bird ${number}`,
        said: NAMES[result].toLowerCase(),
        more: body.band === null ? '' : `band ${body.band}`,
      },
      () => write('bird_sexed', body),
    );
    if (!done) return;
    knock();
    setAgain(null);
    setBand('');
    if (bird === null) setOwn(own && { after: number });
  };
  const undone = () => {
    void undoLast();
    setOwn(own && 'after' in own ? { after: own.after - 1 } : own);
  };
  const called = (said: number) => {
    const there = birds.find((b) => b.number === said && b.gone === null);
    setAgain(there ?? null);
    if (!there) setOwn({ next: said });
    setAsked(false);
  };

  return (
    <BookPage tool title={`Sexing ${brood.code}`} back={{ href: '/sexing', name: 'Sexing day' }}>
      <div class="spread sexing">
        <section class="stack">
          <p>
            {line && <>{line.name}, </>}
            {showAge(window.age_days)} old: day <b>{window.age_days}</b>, to be looked at from day{' '}
            {window.from} to {window.to}
            {window.state === 'late' && brood.unlooked > 0 && (
              <>
                {' '}
                <b class="late">
                  {window.age_days - window.to} {window.age_days - window.to === 1 ? 'day' : 'days'} late
                </b>
              </>
            )}
            {window.state === 'early' && <b> too early for most</b>}
          </p>
          <dl class="tally">
            <Tally name="Cocks" n={brood.cocks} />
            <Tally name="Hens" n={brood.hens} />
            <Tally name="Not sure" n={brood.unsure} />
            <Tally name="Left" n={brood.unlooked} big />
          </dl>
          {wrong !== null && (
            <Notice kind="refused">
              <p>{wrong}</p>
            </Notice>
          )}
          <LastLine last={last} onUndo={undone}>
            {next === 'done' ? 'Nothing is left to look at.' : 'Take the next bird in the hand.'}
          </LastLine>
          <div class="in-hand">
            <h2>
              {done ? 'Done' : `Bird ${number}`}
              {bird?.band && <small> band {bird.band}</small>}
            </h2>
            {mayWrite && !done && (
              <Button kind="quiet" onClick={() => setAsked(true)}>
                Another number
              </Button>
            )}
            <p class="quiet">
              {done
                ? 'The sex of every bird of this brood is known.'
                : inWords(bird, { oneMore: next === 'done', banded: band.trim() !== '' })}
            </p>
          </div>
          <div class="look" onPointerDown={(e) => guard.down(e.pointerId)}>
            {RESULTS.map(([result, name]) => (
              <button
                key={result}
                type="button"
                class="key"
                disabled={!mayWrite || writing || done}
                onClick={() => void look(result)}
              >
                {name}
              </button>
            ))}
          </div>
          {again?.band ? null : (
            <TextField
              label="Band"
              beside
              value={band}
              onText={setBand}
              maxLength={20}
              hint="If it wears one. A band that the book knows brings up its bird."
              wrong={wornElsewhere(worn, [band], brood.id)}
              autocomplete="off"
            />
          )}
          {window.age_days < FOAM_IN_EVERY_COCK_DAYS && (
            <p class="quiet">
              No foam is <b>not sure</b>, never a hen: some cocks show none before the end of week 10 (Central
              Avian Research Institute).
            </p>
          )}
          {next === 'done' && mayWrite && brood.hens + brood.cocks > 0 && (
            <a class="button main" href={`/sexing/${brood.id}/move`}>
              Move them to their cages
            </a>
          )}
          {again && <Button onClick={() => setAgain(null)}>Back to the next one</Button>}
        </section>
        {list}
      </div>
      {asked && <OtherNumber number={number} onNumber={called} onClose={() => setAsked(false)} />}
    </BookPage>
  );
}

function inWords(bird: BirdRow | null, { oneMore, banded }: { oneMore: boolean; banded: boolean }): string {
  if (bird === null && oneMore) return 'a band new to the book, and one more bird than are left';
  if (bird === null) return banded ? 'a band new to the book' : 'the next one nobody has looked at';
  if (bird.sex === 'unsure') return 'not sure at the last look';
  return bird.sex === 'unsexed' ? 'known, but not looked at' : `in the book as ${bird.sex}`;
}

function Tally({ name, n, big = false }: { name: string; n: number; big?: boolean }) {
  return (
    <div data-big={big || undefined}>
      <dt>{name}</dt>
      <dd>{n}</dd>
    </div>
  );
}
