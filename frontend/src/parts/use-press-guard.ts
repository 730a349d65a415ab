import { useEffect, useMemo } from 'preact/hooks';
import { type PressGuard, pressGuard } from './press-guard.ts';

/** The guard of a page: it hears every finger that lifts, also one that slid off the pad before. */
export function usePressGuard(): PressGuard {
  const guard = useMemo(() => pressGuard(), []);
  useEffect(() => {
    const up = (event: PointerEvent) => guard.up(event.pointerId);
    addEventListener('pointerup', up, true);
    addEventListener('pointercancel', up, true);
    return () => {
      removeEventListener('pointerup', up, true);
      removeEventListener('pointercancel', up, true);
    };
  }, [guard]);
  return guard;
}
