/** What happens between the thumb and the book: refusals, the question asked once more, a second count, undo. */
import { useState } from 'preact/hooks';
import {
  type Bodies,
  type CageRow,
  type Day,
  doubt,
  type Entry,
  type EntryView,
  type Id,
  type Kind,
  type RoundInCage,
  refusal,
  strike,
  write,
} from '../../book/index.ts';
import { useLast } from '../frame/use-last.ts';

export type EggClass = 'cracked' | 'soiled' | 'thin_shelled';
export type Classes = Record<EggClass, number>;
const classesOf = (taps: EggClass[]): Classes => {
  const classes: Classes = { cracked: 0, soiled: 0, thin_shelled: 0 };
  for (const which of taps) classes[which] += 1;
  return classes;
};

type Count = Bodies['egg_count'];
type CountView = EntryView<'egg_count'>;

export type Ask =
  | { about: 'doubt'; cage: CageRow; body: Count; sentence: string; instead: CountView[] }
  | { about: 'twice'; cage: CageRow; body: Count; there: CountView[] };

interface How {
  day: Day;
  /** The entry is durable: on to the next cage. */
  onDone: (cage: Id) => void;
  /** Undone: back to its cage. */
  onBack: (cage: Id) => void;
}

function classWords(body: Count): string {
  const some = (n: number, word: string) => (n > 0 ? [`${n} ${word}`] : []);
  return [
    ...some(body.cracked, 'cracked'),
    ...some(body.soiled, 'soiled'),
    ...some(body.thin_shelled, 'thin'),
  ].join(', ');
}

export function useCounting({ day, onDone, onBack }: How) {
  const [taps, setTaps] = useState<EggClass[]>([]);
  const classes = classesOf(taps);
  const [ask, setAsk] = useState<Ask | null>(null);
  const { put, remember, undoLast, setWrong, ...shown } = useLast<Id>();

  async function keep(cage: CageRow, body: Count, instead: CountView[]) {
    const done = await put(
      {
        where: cage.id,
        at: cage.code,
        said: String(body.eggs),
        more: classWords(body),
        ...(instead.length > 0 && {
          again: () => Promise.all(instead.map(({ body: old }) => write('egg_count', old, { day }))),
        }),
      },
      async () => {
        // The new count first: if the phone dies between, two counts are seen and none is lost.
        const entry = await write('egg_count', body, { day });
        for (const { id } of instead) await strike(id, 'counted again');
        return entry;
      },
    );
    if (!done) return;
    setTaps([]);
    onDone(cage.id);
  }

  function weigh(cage: CageRow, body: Count, instead: CountView[]) {
    const said = doubt('egg_count', body, { day, instead: instead.map(({ id }) => id) });
    if (said === null) void keep(cage, body, instead);
    else setAsk({ about: 'doubt', cage, body, sentence: said, instead });
  }

  return {
    ...shown,
    classes,
    ask,
    addClass: (which: EggClass) => setTaps((before) => [...before, which]),
    /** The last of them was one tap too many. */
    takeClassBack: () => setTaps((before) => before.slice(0, -1)),
    clearClasses: () => setTaps([]),
    remember: (cage: CageRow, entry: Entry<Kind>, said: string) =>
      remember({ id: entry.id, where: cage.id, at: cage.code, said, more: '' }),

    count(cage: CageRow, round: string, eggs: number, there: RoundInCage | undefined) {
      const body: Count = { cage: cage.id, round, eggs, ...classes };
      const no = refusal('egg_count', body);
      if (no) setWrong(no.detail);
      else if (there && there.counts.length > 0) setAsk({ about: 'twice', cage, body, there: there.counts });
      else weigh(cage, body, []);
    },
    async pass(cage: CageRow, round: string) {
      const done = await put({ where: cage.id, at: cage.code, said: 'passed over', more: '' }, () =>
        write('cage_passed', { cage: cage.id, round, reason: '' }, { day }),
      );
      if (done) onDone(cage.id);
    },
    sure() {
      if (ask?.about !== 'doubt') return;
      setAsk(null);
      void keep(ask.cage, ask.body, ask.instead);
    },
    replace() {
      if (ask?.about !== 'twice') return;
      setAsk(null);
      weigh(ask.cage, ask.body, ask.there);
    },
    otherRound(round: string) {
      if (ask?.about !== 'twice') return;
      setAsk(null);
      weigh(ask.cage, { ...ask.body, round }, []);
    },
    drop: () => setAsk(null),
    async undoLast() {
      const cage = await undoLast();
      if (cage !== null) onBack(cage);
    },
  };
}
