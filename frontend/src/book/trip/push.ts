/** The first leg: carries what waits to the house, batch by batch, in the order in which it was made. */
import { v7 } from 'uuid';
import type { PushAnswer, PushBatch, Verdict, VerdictWord } from '../contract.ts';
import { CannotReach, Refused } from '../refused.ts';
import { type Kept, readMark } from '../store/database.ts';
import { asWire } from '../store/outbox.ts';
import { countWaiting, firstWaiting, mark, setStuck, waitingAfter } from '../store/verdicts.ts';
import { type Errand, meet, post, setClock } from './errand.ts';
import { identityOf, PROTOCOL } from './request.ts';

export const MOST_ENTRIES = 500;
/** The house takes 256 KiB; some of that is for what stands around the entries. */
export const MOST_BYTES = 255 * 1024;
const TIMEOUT_MS = 60_000;
/** So many faults in a row may be the house's own; after them the batch is halved to find out. */
const PATIENCE = 3;

export type Pushed = 'all' | 'other_house' | 'house_fails';

const WORDS: ReadonlySet<string> = new Set<VerdictWord>([
  'written',
  'already',
  'questioned',
  'waits',
  'aside',
  'later',
]);

/**
 * Sends everything that waits. Throws CannotReach, and Refused where the house refused to take any batch now
 * (signed out, not allowed, too old, busy).
 *
 * While the house has one batch in hand, the one before is marked and the next is read: the house is never waited for twice.
 */
export async function push(errand: Errand): Promise<Pushed> {
  const { farm, trouble } = errand;
  let next: Promise<Kept[]> | null = null;
  let marking: Promise<void> = Promise.resolve();
  let left: number | null = null;
  try {
    for (;;) {
      let batch = fitting((await next) ?? []);
      if (batch.length === 0) {
        // None that is known of: what was written meanwhile, or is left of a batch that was cut.
        await marking;
        batch = fitting(await firstWaiting(farm, trouble.size));
      }
      if (batch.length === 0) {
        Object.assign(trouble, { size: MOST_ENTRIES, faults: 0 });
        return 'all';
      }
      next = waitingAfter(farm, batch.at(-1) as Kept, trouble.size);
      next.catch(() => {}); // told when it is awaited, if it is
      try {
        left ??= await countWaiting(farm);
        const verdicts = await send(errand, batch, left);
        if (verdicts === 'other_house') return 'other_house';
        left -= batch.length;
        await marking;
        marking = markAll(errand, batch, verdicts);
        marking.catch(() => {});
      } catch (error) {
        await marking;
        next = null;
        left = null;
        if (!(await hasHandled(errand, batch, error))) return 'house_fails';
      }
    }
  } finally {
    // Whatever ends it: what the house took has been marked before anything else happens.
    await marking;
  }
}

/** What is done about a fault: nothing but for one that is about the batch. False when the house takes nothing at all. */
async function hasHandled(errand: Errand, batch: Kept[], error: unknown): Promise<boolean> {
  if (!(error instanceof Refused) || !isAboutTheBatch(error)) throw error;
  const { trouble } = errand;
  trouble.faults += 1;
  // A fault may be the house's own and pass; what it says about the batch will not.
  if (error.status === 500 && trouble.faults < PATIENCE) throw error;
  if (batch.length > 1) trouble.size = Math.ceil(batch.length / 2);
  else if (!(await isolate(errand, batch[0] as Kept, error))) return false;
  // The house takes entries: a further fault in what is left is an entry's, too.
  else Object.assign(trouble, { size: MOST_ENTRIES, faults: PATIENCE });
  return true;
}

/** 400 and 413 are about the batch; 500 may be. 503, 429 and the rest are about the house, the person or the app. */
const isAboutTheBatch = (error: Refused): boolean => [400, 413, 500].includes(error.status);

/** As many of the first entries as the house takes at once. */
export function fitting(kept: Kept[]): Kept[] {
  const encoder = new TextEncoder();
  let bytes = 0;
  const over = kept.findIndex((each) => {
    bytes += encoder.encode(JSON.stringify(asWire(each))).length + 1;
    return bytes > MOST_BYTES;
  });
  return over === -1 ? kept : kept.slice(0, Math.max(1, over));
}

/** Sends one batch, and how many entries wait in all; the verdicts on it. */
async function send(errand: Errand, kept: Kept[], waiting: number): Promise<Verdict[] | 'other_house'> {
  const { farm } = errand;
  const batch: PushBatch = {
    protocol: PROTOCOL,
    batch: v7(),
    book: (await readMark(farm, 'book')) ?? null,
    app: errand.app,
    device_time: errand.now(),
    waiting,
    entries: kept.map(asWire),
  };
  const answered = await post<PushAnswer>(errand, '/api/push', batch, TIMEOUT_MS);
  const { said } = answered;
  const identity = identityOf(said);
  const verdicts = verdictsFor(batch, said);
  if ((await meet(farm, identity)) === 'other_house') return 'other_house';
  await setClock(farm, answered);
  return verdicts;
}

/** Marks each entry by its own verdict. */
async function markAll(errand: Errand, kept: Kept[], verdicts: Verdict[]): Promise<void> {
  const { farm } = errand;
  const pulls = (await readMark(farm, 'pulls')) ?? { begun: 0, done: 0 };
  const done = await mark(farm, kept, verdicts, { now: errand.now(), pullsBegun: pulls.begun });
  errand.told?.({ what: 'marked', kept: done });
}

/** One verdict for each entry sent, or it is no answer. */
function verdictsFor(batch: PushBatch, said: Partial<PushAnswer>): Verdict[] {
  const verdicts = Array.isArray(said.verdicts) ? said.verdicts : [];
  const right =
    said.batch === batch.batch &&
    verdicts.length === batch.entries.length &&
    verdicts.every((each, at) => each.id === batch.entries[at]?.id && WORDS.has(each.verdict));
  if (!right) throw new CannotReach('What came back does not answer what was sent.');
  return verdicts;
}

/**
 * One entry alone fails. Is it the entry, or the house? If the house takes any of a few others, it is the entry: it is
 * set apart, so that it holds nothing up. Returns false when the house takes none of them.
 */
async function isolate(errand: Errand, suspect: Kept, error: Refused): Promise<boolean> {
  const said = `The house fails on this entry alone: ${error.message} Try it again by hand, or save the outbox as a file.`;
  if (error.status !== 413 && !(await takesAnother(errand, suspect))) return false;
  const stuck = await setStuck(errand.farm, suspect.device_seq, said);
  errand.told?.({ what: 'marked', kept: stuck });
  return true;
}

async function takesAnother(errand: Errand, suspect: Kept): Promise<boolean> {
  const waiting = await firstWaiting(errand.farm, MOST_ENTRIES);
  const others = waiting.filter((kept) => kept.device_seq !== suspect.device_seq);
  const few = new Set([others[0], others.at(-1), others[Math.floor(others.length / 2)]]);
  for (const other of few) {
    if (!other) continue;
    try {
      const verdicts = await send(errand, [other], waiting.length);
      if (verdicts === 'other_house') return false;
      await markAll(errand, [other], verdicts);
      return true;
    } catch (error) {
      if (!(error instanceof Refused) || !isAboutTheBatch(error)) throw error;
    }
  }
  return false;
}
