/** Something that only the house knows, asked when a page needs it; nothing of it is kept. */
import { useEffect, useState } from 'preact/hooks';

export interface Asked<T> {
  /** Null while it is asked for, or where it cannot be had. */
  found: T | null;
  wrong: string | null;
  again: () => void;
}

export function useAsked<T>(ask: () => Promise<T>): Asked<T> {
  const [found, setFound] = useState<T | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [turn, setTurn] = useState(0);
  useEffect(() => {
    let here = true;
    ask().then(
      (said) => {
        if (!here) return;
        setFound(said);
        setWrong(null);
      },
      (error: unknown) => {
        if (here) setWrong(error instanceof Error ? error.message : 'The house cannot be reached.');
      },
    );
    return () => {
      here = false;
    };
  }, [turn]);
  return { found, wrong, again: () => setTurn((n) => n + 1) };
}
