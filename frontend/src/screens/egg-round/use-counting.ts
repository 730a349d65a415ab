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
  undo,
  write,
} from '../../book/index.ts';

export type EggClass = 'cracked' | 'soiled' | 'thin_shelled';
export type Classes = Record<EggClass, number>;
const NONE: Classes = { cracked: 0, soiled: 0, thin_shelled: 0 };

type Count = Bodies['egg_count'];

/** The last thing written here, until the next: it can be undone in one tap. */
export interface Last {
  id: Id | null;
  cage: Id;
  code: string;
  said: string;
  more: string;
  durable: boolean;
  /** A count that it took the place of: undone, that one is written again. */
  instead: Count | null;
}

export type Ask =
  | { about: 'doubt'; cage: CageRow; body: Count; sentence: string; instead: EntryView<'egg_count'>[] }
  | { about: 'twice'; cage: CageRow; body: Count; there: EntryView<'egg_count'>[] };

interface How {
  day: Day;
  /** The entry is durable: on to the next cage. */
  onDone: (cage: Id) => void;
  /** Undone: back to its cage. */
  onBack: (cage: Id) => void;
}

const sentence = (error: unknown) =>
  error instanceof Error ? error.message : 'This could not be written on the phone. Try once more.';

function classWords(body: Count): string {
  return [
    body.cracked > 0 ? `${body.cracked} cracked` : '',
    body.soiled > 0 ? `${body.soiled} soiled` : '',
    body.thin_shelled > 0 ? `${body.thin_shelled} thin` : '',
  ]
    .filter(Boolean)
    .join(', ');
}

export function useCounting({ day, onDone, onBack }: How) {
  const [classes, setClasses] = useState(NONE);
  const [ask, setAsk] = useState<Ask | null>(null);
  const [lasts, setLasts] = useState<Last[]>([]);
  const [wrong, setWrong] = useState<string | null>(null);
  const [writing, setWriting] = useState(false);

  const push = (last: Last) => setLasts((before) => [...before.slice(-30), last]);
  const settle = (id: Id) =>
    setLasts((before) => before.map((l, i) => (i === before.length - 1 ? { ...l, id, durable: true } : l)));

  /** Writes, hollow until durable; a write that failed leaves no trace but its sentence. */
  async function put(
    last: Omit<Last, 'id' | 'durable'>,
    make: () => Promise<Entry<Kind>>,
    after?: () => Promise<unknown>,
  ) {
    setWrong(null);
    setWriting(true);
    push({ ...last, id: null, durable: false });
    try {
      const entry = await make();
      await after?.();
      settle(entry.id);
      setClasses(NONE);
      onDone(last.cage);
    } catch (error) {
      setLasts((before) => before.filter((l) => l.durable));
      setWrong(sentence(error));
    } finally {
      setWriting(false);
    }
  }

  function weigh(cage: CageRow, body: Count, instead: EntryView<'egg_count'>[]) {
    const said = doubt('egg_count', body, { day });
    if (said === null) void keep(cage, body, instead);
    else setAsk({ about: 'doubt', cage, body, sentence: said, instead });
  }

  const keep = (cage: CageRow, body: Count, instead: EntryView<'egg_count'>[]) =>
    put(
      {
        cage: cage.id,
        code: cage.code,
        said: String(body.eggs),
        more: classWords(body),
        instead: instead[0]?.body ?? null,
      },
      () => write('egg_count', body, { day }),
      // The new count first: if the phone dies between, two counts are seen and none is lost.
      () => Promise.all(instead.map((old) => strike(old.id, 'counted again'))),
    );

  return {
    classes,
    ask,
    wrong,
    writing,
    last: lasts.at(-1) ?? null,
    addClass: (which: EggClass) => setClasses((c) => ({ ...c, [which]: c[which] + 1 })),
    clearClasses: () => setClasses(NONE),
    remember: (cage: CageRow, entry: Entry<Kind>, said: string) =>
      push({ id: entry.id, cage: cage.id, code: cage.code, said, more: '', durable: true, instead: null }),

    count(cage: CageRow, round: string, eggs: number, there: RoundInCage | undefined) {
      const body: Count = { cage: cage.id, round, eggs, ...classes };
      const no = refusal('egg_count', body);
      if (no) {
        setWrong(no.detail);
        return;
      }
      if (there && there.counts.length > 0) setAsk({ about: 'twice', cage, body, there: there.counts });
      else weigh(cage, body, []);
    },
    pass(cage: CageRow, round: string) {
      void put({ cage: cage.id, code: cage.code, said: 'passed over', more: '', instead: null }, () =>
        write('cage_passed', { cage: cage.id, round, reason: '' }, { day }),
      );
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
      const last = lasts.at(-1);
      if (!last?.id) return;
      try {
        if (last.instead) await write('egg_count', last.instead, { day });
        await undo(last.id);
        setLasts((before) => before.slice(0, -1));
        setWrong(null);
        onBack(last.cage);
      } catch (error) {
        setWrong(sentence(error));
      }
    },
  };
}
