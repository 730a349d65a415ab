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
      if (inHand.current) return false;
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
      if (!last?.id) return null;
      try {
        await last.again?.();
        await undo(last.id);
        setLasts((before) => before.slice(0, -1));
        setWrong(null);
        return last.where;
      } catch (error) {
        setWrong(sentence(error));
        return null;
      }
    },
  };
}
