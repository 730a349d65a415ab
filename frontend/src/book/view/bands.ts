/** Which living bird wears which band, in the whole book: as pulled, and over it what this phone has in memory. */
import type { BirdRow } from '../contract.ts';
import { readBanded } from '../store/rows.ts';
import { birdMap, farmOpen } from './shelf.ts';

/** Bands are compared without regard to spaces and case. */
export const bareBand = (band: string): string => band.replace(/\s+/g, '').toLowerCase();

export async function bandsWorn(): Promise<Map<string, BirdRow[]>> {
  const from = farmOpen.peek();
  if (!from) return new Map();
  const birds = new Map((await readBanded(from)).map((bird) => [bird.id, bird]));
  for (const bird of birdMap.peek().values()) birds.set(bird.id, bird);
  const worn = new Map<string, BirdRow[]>();
  for (const bird of birds.values()) {
    if (bird.band === null || bird.gone !== null) continue;
    const key = bareBand(bird.band);
    worn.set(key, [...(worn.get(key) ?? []), bird]);
  }
  return worn;
}
