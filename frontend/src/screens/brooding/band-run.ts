/** Bands in a run: R14 to R33. What stands before the last number stays, and its zeros are kept. Pure. */
import type { BirdRow } from '../../book/index.ts';

export interface Run {
  bands: string[];
  /** One sentence: what is wrong and what to do. */
  wrong: string | null;
}

export function bandRun(first: string, birds: number, worn: readonly BirdRow[]): Run {
  const text = first.trim();
  if (text === '') return { bands: [], wrong: null };
  const found = /^(.*?)(\d+)(\D*)$/.exec(text);
  if (!found && birds > 1)
    return {
      bands: [],
      wrong: `${text} has no number to count on from: type one such as R14, or band one bird.`,
    };
  const [, before = text, number = '', after = ''] = found ?? [];
  const bands = Array.from({ length: birds }, (_, n) =>
    number === '' ? text : `${before}${String(Number(number) + n).padStart(number.length, '0')}${after}`,
  );
  const same = (a: string, b: string) => a.toLowerCase() === b.toLowerCase();
  const taken = worn.find(
    (b) => b.gone === null && b.band !== null && bands.some((band) => same(band, b.band ?? '')),
  );
  return {
    bands,
    wrong: taken ? `Band ${taken.band} is on bird ${taken.number} already: begin with another number.` : null,
  };
}

export type BandGroup = 'unsexed' | 'hen' | 'cock';

/** The birds that take them: those of the group without a band, the lowest number first; null for one new to the book. */
export function wearers(birds: readonly BirdRow[], group: BandGroup, many: number): (BirdRow | null)[] {
  const bare = birds
    .filter(
      (b) =>
        b.gone === null &&
        b.band === null &&
        (group === 'unsexed' ? b.sex !== 'hen' && b.sex !== 'cock' : b.sex === group),
    )
    .sort((a, b) => a.number - b.number);
  return Array.from({ length: many }, (_, n) => bare[n] ?? null);
}
