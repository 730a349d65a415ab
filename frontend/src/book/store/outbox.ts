/**
 * Entries that the house does not have yet, and those it took in the last 180 days, in case it is restored from an
 * older back-up. Nothing is ever removed for being refused, signed out of, or old and unsent.
 */
import type { IDBPTransaction } from 'idb';
import { v7 } from 'uuid';
import { nextStamp } from '../clock.ts';
import type { Bodies, Day, Entry, Id, Kind, Millis } from '../contract.ts';
import type { FarmBase, FarmSchema, Kept } from './database.ts';

/** The entry is not on this phone: the screen must not say that it is. */
export class NotSaved extends Error {
  override name = 'NotSaved';
  full: boolean;

  constructor(detail: string, { full, cause }: { full: boolean; cause?: unknown }) {
    super(detail, { cause });
    this.full = full;
  }
}

export interface ToWrite {
  author: Id;
  kind: Kind;
  version: number;
  day: Day;
  zone: string;
  body: Bodies[Kind];
  mends?: Id;
}

type Clock = FarmSchema['clock']['value'];
type AppendTx = IDBPTransaction<FarmSchema, ('outbox' | 'clock')[], 'readwrite'>;

/** The clock as this tab left it. Another tab may have written since, so it is only ever a guess. */
const clocks = new WeakMap<FarmBase, Clock>();

/**
 * Writes one entry. Resolves when the browser says that the transaction is complete, asked to be on the disk itself
 * (`strict`). Stamp, id and place in the order hold by what that same transaction reads, so tabs cannot draw the same.
 */
export async function append(farm: FarmBase, entry: ToWrite, now: Millis): Promise<Kept> {
  let drawn: Id | null = null;

  const appendIn = async (tx: AppendTx): Promise<Kept> => {
    const outbox = tx.objectStore('outbox');
    // A connection lost in the middle may have been lost after the commit.
    const saved = drawn === null ? undefined : await outbox.index('id').get(drawn);
    if (saved) return saved;
    const asked = tx.objectStore('clock').get('clock');
    const draw = (clock: Clock, again?: { device_seq: number }) => {
      const stamp = nextStamp({ now, ...clock });
      const id = v7({ msecs: stamp });
      drawn = id;
      const kept = {
        ...again,
        id,
        entry: { id, ...entry, stamp },
        state: 'waiting',
        open: 'waiting',
      } as Kept;
      const after = { ...clock, last: stamp };
      return {
        kept,
        after,
        done: Promise.all([
          again ? outbox.put(kept) : outbox.add(kept),
          tx.objectStore('clock').put(after, 'clock'),
        ]),
      };
    };
    // Written at once by the guess, while the answer is on its way: after a tap an answer costs most of a frame.
    const guess = clocks.get(farm);
    const guessed = guess && draw(guess);
    const [clock = guess ?? { offset: 0, last: 0 }, put] = await Promise.all([asked, guessed?.done]);
    const right = guess?.last === clock.last && guess.offset === clock.offset;
    const { kept, after, done } = guessed && right ? guessed : draw(clock, put && { device_seq: put[0] });
    const [[device_seq]] = await Promise.all([
      done,
      ...settles(entry).map(async ([target, how]) => {
        const old = await outbox.index('id').get(target);
        if (old) await outbox.put(settled({ ...old, [how]: kept.id }));
      }),
      tx.done,
    ]);
    clocks.set(farm, after);
    return { ...kept, device_seq };
  };

  try {
    return await farm.use(async (db) => {
      const tx = db.transaction(['outbox', 'clock'], 'readwrite', { durability: 'strict' });
      try {
        return await appendIn(tx);
      } catch (error) {
        // What ended the transaction says more than the request that it took with it.
        await tx.done.catch(() => {});
        throw tx.error ?? error;
      }
    });
  } catch (error) {
    throw notSaved(error);
  }
}

/** The earlier entries that this one answers for, and how. */
function settles(entry: ToWrite): [Id, 'struck_by' | 'mended_by'][] {
  const settled: [Id, 'struck_by' | 'mended_by'][] = [];
  if (entry.kind === 'strike') settled.push([(entry.body as Bodies['strike']).entry, 'struck_by']);
  if (entry.mends !== undefined) settled.push([entry.mends, 'mended_by']);
  return settled;
}

/** An entry set aside needs the person no more once it is mended or struck: the house has its bytes. */
export function settled(kept: Kept): Kept {
  if (kept.state !== 'aside' || !(kept.struck_by ?? kept.mended_by)) return kept;
  const { open: _, ...closed } = kept;
  return { ...closed, state: 'sent' };
}

function notSaved(error: unknown): NotSaved {
  if (error instanceof NotSaved) return error;
  const full = error instanceof Error && error.name === 'QuotaExceededError';
  const detail = full
    ? 'Not saved: the storage of this phone is full. Save the outbox as a file, make room, and enter it again.'
    : 'Not saved: this phone could not write it down. Reload the page and enter it again.';
  return new NotSaved(detail, { full, cause: error });
}

export const asWire = ({ entry, device_seq }: Kept): Entry => ({ ...entry, device_seq });

/** Everything that something is still to be done about, and what was sent but is not in the rows yet. */
export const readOpen = (farm: FarmBase, pullsDone: number): Promise<Kept[]> =>
  farm.use(async (db) => {
    const tx = db.transaction('outbox');
    const [open, sent] = await Promise.all([
      tx.store.index('open').getAll(),
      tx.store.index('sent_pull').getAll(IDBKeyRange.lowerBound(pullsDone)),
    ]);
    const all = new Map([...open, ...sent].map((kept) => [kept.device_seq, kept]));
    return [...all.values()].sort((a, b) => a.device_seq - b.device_seq);
  });

/** The entries of these ids, as far as they were made here. */
export const readThese = (farm: FarmBase, ids: readonly Id[]): Promise<Kept[]> =>
  farm.use(async (db) => {
    const index = db.transaction('outbox').store.index('id');
    const found = await Promise.all(ids.map((id) => index.get(id)));
    return found.filter((kept) => kept !== undefined);
  });
