/** What was written on this page, newest last: hollow if it takes a while to be durable, undone in one tap for as long as the page is open. */
import { useRef, useState } from 'preact/hooks';
import { type Entry, type Id, type Kind, undo } from '../../book/index.ts';
import type { LastShown } from '../../parts/last-line.tsx';

export interface Last<Where> extends LastShown {
  /** Null while it is being written. */
  id: Id | null;
  where: Where;
  /** What has to be written again when this is undone, because this took its place. */
  again?: () => Promise<unknown>;
}

export const sentence = (error: unknown): string =>
  error instanceof Error && error.message !== ''
    ? error.message
    : 'This could not be written on the phone. Try once more.';

const KEPT = 30;
const NOT_TWO = 'Not written: the one before is still being written. Enter this once more.';

/** A write is mostly done before the eye could see that it is under way; drawing that first would only hold it up. */
const SEEN_MS = 100;

export function useLast<Where>() {
  const [lasts, setLasts] = useState<Last<Where>[]>([]);
  const [wrong, setWrong] = useState<string | null>(null);
  const [writing, setWriting] = useState(false);
  const inHand = useRef(false);
  const add = (last: Last<Where>) => setLasts((before) => [...before.slice(1 - KEPT), last]);
  const done = (before: Last<Where>[]) => before.filter(({ durable }) => durable).slice(1 - KEPT);

  return {
    last: lasts.at(-1) ?? null,
    wrong,
    writing,
    setWrong,
    /** Something written elsewhere (a sheet) that can be undone here. */
    remember: (last: Omit<Last<Where>, 'durable'>) => add({ ...last, durable: true }),
    /** Writes; true once it is durable. One that could not be kept leaves no trace but its sentence. Takes one at a time. */
    async put(last: Omit<Last<Where>, 'id' | 'durable'>, make: () => Promise<Entry<Kind>>): Promise<boolean> {
      if (inHand.current) {
        setWrong(NOT_TWO);
        return false;
      }
      inHand.current = true;
      setWrong(null);
      const hollow = setTimeout(() => {
        setWriting(true);
        add({ ...last, id: null, durable: false });
      }, SEEN_MS);
      try {
        const { id } = await make();
        setLasts((before) => [...done(before), { ...last, id, durable: true }]);
        return true;
      } catch (error) {
        setLasts(done);
        setWrong(sentence(error));
        return false;
      } finally {
        inHand.current = false;
        clearTimeout(hollow);
        setWriting(false);
      }
    },
    /** Strikes the last one; gives where it was, or null when it could not be struck. */
    async undoLast(): Promise<Where | null> {
      const last = lasts.at(-1);
      if (!last?.id || inHand.current) return null;
      inHand.current = true;
      const { id, again, ...restored } = last;
      try {
        if (again) {
          await again();
          // Written again once, also where the strike fails and Undo is pressed once more.
          setLasts((before) => before.map((l) => (l.id === id ? ({ ...restored, id } as Last<Where>) : l)));
        }
        await undo(id);
        setLasts((before) => before.filter((l) => l.id !== id));
        setWrong(null);
        return last.where;
      } catch (error) {
        setWrong(sentence(error));
        return null;
      } finally {
        inHand.current = false;
      }
    },
  };
}
