import { useEffect, useState } from 'preact/hooks';

/** The value, one painted frame late: for long lists beside what a thumb waits for, so that this is drawn first. */
export function useLater<T>(value: T): T {
  const [shown, setShown] = useState(value);
  // An effect runs once the frame is on the screen.
  useEffect(() => setShown(() => value), [value]);
  return shown;
}
