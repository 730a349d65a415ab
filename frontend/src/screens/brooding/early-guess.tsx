import { useMemo, useState } from 'preact/hooks';
import { birdsOf, broods, me, newId, today, write } from '../../book/index.ts';
import { showAge } from '../../parts/ages.ts';
import { knock, useAwake } from '../../parts/awake.ts';
import { Choice } from '../../parts/choice.tsx';
import { daysFrom } from '../../parts/days.ts';
import { TextField } from '../../parts/field.tsx';
import { LastLine } from '../../parts/last-line.tsx';
import { Notice } from '../../parts/notice.tsx';
import type { Params } from '../../parts/route.ts';
import { usePressGuard } from '../../parts/use-press-guard.ts';
import { BookPage } from '../frame/book-page.tsx';
import { nextNumber } from '../frame/called.ts';
import { useLast } from '../frame/use-last.ts';
import { banded } from '../sexing-day/checklist.ts';
import '../sexing-day/sexing-day.css';
import { answersBy, type By, type Guess, scores, toGuess } from './guessing.ts';

/** An early guess of sex, bird after bird. It is no look: each stays to be sexed, and the guess is scored then. */
export function EarlyGuess({ brood: id }: Params) {
  useAwake();
  const brood = broods.value.find((b) => b.id === id);
  const birds = useMemo(() => birdsOf(id ?? ''), [id]).value;
  const guard = usePressGuard();
  const [by, setBy] = useState<By>('feathers');
  const [band, setBand] = useState('');
  const { last, wrong, writing, put, undoLast } = useLast<null>();
  const back = brood ? { href: `/brood/${brood.id}`, name: brood.code } : { href: '/broods', name: 'Broods' };
  if (!brood || !birds)
    return (
      <BookPage title="Early guess" back={back}>
        {birds && <p>This brood is not on the phone yet. It comes with the next sync.</p>}
      </BookPage>
    );
  const fresh = brood.alive > birds.filter((b) => b.gone === null).length;
  const known = banded(birds, band);
  const bird = band.trim() !== '' ? known : fresh ? undefined : toGuess(birds).find((b) => b.band === null);
  const number = bird?.number ?? nextNumber(birds);
  const done = birds.filter((b) => b.guess !== null);
  const guess = async (said: Guess, name: string) => {
    if (!guard.take()) return;
    const body = {
      bird: bird?.id ?? newId(),
      brood: brood.id,
      number,
      guess: said,
      by,
      band: bird?.band ?? (band.trim() || null),
    };
    const more = body.band === null ? '' : `band ${body.band}`;
    if (
      !(await put({ where: null, at: `Bird ${number}`, said: name.toLowerCase(), more }, () =>
        write('sex_guessed', body),
      ))
    )
      return;
    knock();
    setBand('');
  };
  const answers = answersBy(by);
  return (
    <BookPage tool title={`Early guess ${brood.code}`} back={back}>
      <div class="spread">
        <section class="stack">
          <p>
            {showAge(daysFrom(brood.hatched_on, today.value))} old. A guess is no look: the bird stays to be
            sexed.
          </p>
          <Choice
            label="By"
            value={by}
            onChoose={setBy}
            options={[
              { value: 'feathers', name: 'Feathers' },
              { value: 'foam', name: 'Foam' },
              { value: 'voice', name: 'Voice' },
              { value: 'other', name: 'Other' },
            ]}
          />
          {by === 'foam' && (
            <p>
              No foam means <b>not sure</b>, never a hen: some cocks show none before the end of week 10
              (Central Avian Research Institute).
            </p>
          )}
          {wrong !== null && (
            <Notice kind="refused">
              <p>{wrong}</p>
            </Notice>
          )}
          <LastLine last={last} onUndo={() => void undoLast()}>
            Take the next bird in the hand.
          </LastLine>
          <div class="in-hand">
            <h2>
              Bird {number}
              {bird?.band && <small> band {bird.band}</small>}
            </h2>
          </div>
          <div
            class="look"
            data-two={answers.length === 2 || undefined}
            onPointerDown={(e) => guard.down(e.pointerId)}
          >
            {answers.map(({ guess: said, name, detail }) => (
              <button
                key={said}
                type="button"
                class="key"
                disabled={writing || me.value?.role === 'onlooker'}
                onClick={() => void guess(said, name)}
              >
                {name}
                {detail !== '' && <small>{detail}</small>}
              </button>
            ))}
          </div>
          <TextField
            label="Band"
            beside
            value={band}
            onText={setBand}
            maxLength={20}
            autocomplete="off"
            hint="Without a band nobody can tell later whether the guess was right."
          />
        </section>
        <section class="stack">
          <h2>
            Guessed <small class="quiet">{done.length}</small>
          </h2>
          <p>
            {['cock', 'hen', 'unsure']
              .map((g) => `${done.filter((b) => b.guess === g).length} ${g === 'unsure' ? 'not sure' : g}`)
              .join(', ')}
          </p>
          <Scores birds={done} />
        </section>
      </div>
    </BookPage>
  );
}

/** How the guesses came out, once the birds were looked at. */
export function Scores({ birds }: { birds: Parameters<typeof scores>[0] }) {
  const found = scores(birds);
  if (found.length === 0) return null;
  return (
    <ul>
      {found.map(({ by, right, of }) => (
        <li key={by}>
          Guessed by {by}: {right} of {of} right once sexed.
        </li>
      ))}
    </ul>
  );
}
