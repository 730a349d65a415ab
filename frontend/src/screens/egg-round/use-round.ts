/**
 * Which round of which day is being walked. Chosen by the hour when the walk begins and then kept, over noon and over midnight: a walk
 * does not change its name under way. After an hour in which nothing was written it is a new walk, and chosen afresh.
 */
import { useEffect, useRef, useState } from 'preact/hooks';
import { type Day, farm, type Round, today } from '../../book/index.ts';
import { now_ms } from '../../parts/clock.ts';
import { roundAt } from './walk.ts';

const IDLE_MS = 60 * 60_000;

interface Walk {
  /** Null: the one of the hour, as soon as the farm's rounds are known. */
  round: string | null;
  day: Day;
}

const byTheHour = (): string | null => roundAt(farm.value?.rounds ?? [], new Date().getHours())?.key ?? null;

export function useRound(asked: string | undefined, onNewWalk: () => void) {
  const [walk, setWalk] = useState<Walk>(() => ({ round: asked ?? byTheHour(), day: today.value }));
  const touched = useRef(Date.now());
  const rounds = farm.value?.rounds ?? [];
  const round: Round | undefined = rounds.find((r) => r.key === walk.round);

  useEffect(() => {
    if (!round && rounds.length > 0) setWalk({ round: byTheHour(), day: today.value });
  }, [round, rounds.length]);

  useEffect(() => {
    if (now_ms.value - touched.current < IDLE_MS) return;
    touched.current = now_ms.value;
    setWalk({ round: byTheHour(), day: today.value });
    onNewWalk();
  }, [now_ms.value]);

  return {
    round,
    day: walk.day,
    /** Something was written: the walk goes on. */
    touch: () => {
      touched.current = Date.now();
    },
    choose: (key: string, day: Day) => {
      touched.current = Date.now();
      setWalk({ round: key, day });
    },
  };
}
