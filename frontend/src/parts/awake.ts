import { useEffect } from 'preact/hooks';

/** Keeps the screen lit while a page is in use, where the device can; it lets go when the page is left or hidden. */
export function useAwake(): void {
  useEffect(() => {
    if (!('wakeLock' in navigator)) return;
    let lock: WakeLockSentinel | undefined;
    let left = false;
    const ask = () => {
      if (document.visibilityState !== 'visible') return;
      navigator.wakeLock.request('screen').then(
        (got) => {
          if (left) void got.release();
          else lock = got;
        },
        () => {}, // a low battery refuses it: the round goes on without
      );
    };
    ask();
    document.addEventListener('visibilitychange', ask);
    return () => {
      left = true;
      document.removeEventListener('visibilitychange', ask);
      void lock?.release();
    };
  }, []);
}

/** A short knock under the thumb, where the phone has one. */
export function knock(ms: number | number[] = 15): void {
  navigator.vibrate?.(ms);
}
