import { useEffect, useMemo, useState } from 'preact/hooks';
import { cages, farm, holdUpdates, type Id, me, opened, roundsOn, today } from '../../book/index.ts';
import { knock, useAwake } from '../../parts/awake.ts';
import { CageStrip } from '../../parts/cage-strip.tsx';
import { LastLine } from '../../parts/last-line.tsx';
import { lazy } from '../../parts/lazy.tsx';
import { Mark } from '../../parts/mark.tsx';
import { Notice } from '../../parts/notice.tsx';
import { NumberPad } from '../../parts/number-pad.tsx';
import type { Params } from '../../parts/route.ts';
import { usePressGuard } from '../../parts/use-press-guard.ts';
import { wide } from '../../parts/wide.ts';
import { heard } from '../frame/age.ts';
import { CageHere } from './cage-here.tsx';
import { ClassKeys } from './class-keys.tsx';
import './egg-round.css';
import { useCounting } from './use-counting.ts';
import { useRound } from './use-round.ts';
import { nextOpen, sumUp, walk } from './walk.ts';

// What is not needed for the first tap comes after it.
const BarnMap = lazy(() => import('./barn-map.tsx').then((m) => m.BarnMap));
const EndOfRound = lazy(() => import('./end-of-round.tsx').then((m) => m.EndOfRound));
const Doubted = lazy(() => import('./questions.tsx').then((m) => m.Doubted));
const Twice = lazy(() => import('./questions.tsx').then((m) => m.Twice));
const RoundPick = lazy(() => import('./round-pick.tsx').then((m) => m.RoundPick));
const FoundDead = lazy(() => import('../cage-sheets/found-dead.tsx').then((m) => m.FoundDead));
const CageNote = lazy(() => import('../cage-sheets/cage-note.tsx').then((m) => m.CageNote));

/** Fetches those once the first cage stands; without the house they come from the worker's keeping. */
const fetchTheRest = () =>
  void Promise.allSettled(
    [EndOfRound, Doubted, Twice, RoundPick, FoundDead, CageNote].map((part) => part.load()),
  );
const REST_MS = 800;

type Leaf = 'round' | 'dead' | 'note' | null;

/** The round by the hour, or the one asked for; at its first uncounted cage, or at the cage whose card was read. */
export function EggRound({ cage: asked, round: askedRound }: Params) {
  useAwake();
  useEffect(() => {
    holdUpdates(true);
    document.title = 'Egg round – Barnbook';
    const rest = setTimeout(fetchTheRest, REST_MS);
    return () => {
      clearTimeout(rest);
      holdUpdates(false);
    };
  }, []);

  // Undefined until the cages are there; then it only moves by a hand, never because another phone counted this cage.
  const [here, setHere] = useState<Id | null | undefined>(asked);
  const [leaf, setLeaf] = useState<Leaf>(null);
  const rounds = farm.value?.rounds ?? [];
  const { round, day, touch, choose } = useRound(askedRound, () => setHere(undefined));
  const found = useMemo(() => roundsOn(day), [day]).value;
  const stops = walk(cages.value, found, round?.key ?? '');
  const first = here === undefined && stops.length > 0 ? nextOpen(stops, null) : undefined;
  useEffect(() => {
    if (first !== undefined) setHere(first);
  }, [first]);
  const at = here === undefined ? (first ?? null) : here;

  const guard = usePressGuard();
  const counting = useCounting({
    day,
    onDone: (cage) => {
      knock();
      touch();
      setHere(nextOpen(stops, cage));
    },
    onBack: setHere,
  });

  /** What was tapped as cracked belonged to the cage that is left. */
  const jump = (cage: Id) => {
    counting.clearClasses();
    setHere(cage);
  };

  if (!round || !opened.value) return null;
  const sum = sumUp(stops);
  const cage = cages.value.find((c) => c.id === at) ?? null;
  const there = cage ? found.get(cage.id)?.get(round.key) : undefined;
  const close = () => setLeaf(null);
  const mayWrite = me.value?.role !== 'onlooker';

  return (
    <div class="egg-round">
      <header class="round-head">
        <a href="/" aria-label="Back to Today">
          <Mark name="back" />
        </a>
        <h1>
          <button type="button" onClick={() => setLeaf('round')} aria-haspopup="dialog">
            {round.name} round
            <small>{day === today.value ? 'change' : 'of yesterday, change'}</small>
          </button>
        </h1>
        <p class="progress">
          <b>
            {sum.counted + sum.passed.length} of {stops.length}
          </b>
          <small>{heard()}</small>
        </p>
      </header>
      {!wide.value && <CageStrip cages={stops} here={at} onJump={jump} />}
      <div class="round-spread">
        {wide.value && <BarnMap stops={stops} here={at} onJump={jump} sum={sum} />}
        {cage ? (
          <section class="at-cage" aria-label={`Cage ${cage.code}`}>
            <CageHere cage={cage} round={round} found={found.get(cage.id)} day={day} onLeaf={setLeaf} />
            {counting.wrong !== null && (
              <Notice kind="refused">
                <p>{counting.wrong}</p>
              </Notice>
            )}
            <LastLine last={counting.last} onUndo={counting.undoLast}>
              One tap is the count.
            </LastLine>
            <div class="keys">
              <NumberPad
                of={cage.id}
                label={`Eggs in cage ${cage.code}`}
                guard={guard}
                off={!mayWrite}
                busy={counting.writing}
                onCount={(eggs) => counting.count(cage, round.key, eggs, there)}
              >
                <button
                  type="button"
                  class="key word"
                  disabled={!mayWrite}
                  onClick={() => !counting.writing && guard.take() && counting.pass(cage, round.key)}
                >
                  Pass over
                  <small>not counted</small>
                </button>
              </NumberPad>
              <ClassKeys
                classes={counting.classes}
                off={!mayWrite}
                onAdd={counting.addClass}
                onBack={counting.takeClassBack}
              />
            </div>
          </section>
        ) : (
          <EndOfRound round={round} stops={stops} sum={sum} cages={cages.value} found={found} onJump={jump}>
            {counting.last && <LastLine last={counting.last} onUndo={counting.undoLast} />}
          </EndOfRound>
        )}
      </div>

      {counting.ask?.about === 'doubt' && (
        <Doubted {...counting.ask} onYes={counting.sure} onNo={counting.drop} />
      )}
      {counting.ask?.about === 'twice' && (
        <Twice
          {...counting.ask}
          rounds={rounds}
          onReplace={counting.replace}
          onOther={counting.otherRound}
          onNo={counting.drop}
        />
      )}
      {leaf === 'round' && (
        <RoundPick
          rounds={rounds}
          round={round.key}
          day={day}
          onClose={close}
          onPick={(key, on) => {
            choose(key, on);
            setHere(undefined);
            close();
          }}
        />
      )}
      {leaf === 'dead' && cage && <FoundDead cage={cage} onClose={close} onWritten={counting.remember} />}
      {leaf === 'note' && cage && <CageNote cage={cage} onClose={close} onWritten={counting.remember} />}
    </div>
  );
}
