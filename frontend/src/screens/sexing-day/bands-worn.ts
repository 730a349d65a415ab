/** A band is on one living bird only, whatever its brood: said as soon as it is typed, before anything is written. */
import { useEffect, useState } from 'preact/hooks';
import { type BirdRow, bandsWorn, broods, type Id } from '../../book/index.ts';

export type Worn = ReadonlyMap<string, readonly BirdRow[]>;
const bare = (band: string) => band.replace(/\s+/g, '').toLowerCase();

/** Read once when the page opens; birds of the brood in the hand are seen as they are written by the page itself. */
export function useBandsWorn(): Worn {
  const [worn, setWorn] = useState<Worn>(new Map());
  useEffect(() => {
    let here = true;
    bandsWorn().then(
      (found) => here && setWorn(found),
      () => {}, // nothing can be said of other broods then; the house asks all the same
    );
    return () => {
      here = false;
    };
  }, []);
  return worn;
}

/** Of these bands, the first that a living bird of another brood wears, as a sentence; null when none does. */
export function wornElsewhere(worn: Worn, bands: readonly string[], brood: Id): string | null {
  for (const band of bands) {
    const other = worn.get(bare(band))?.find((bird) => bird.brood !== brood);
    if (!other) continue;
    const code = broods.value.find((b) => b.id === other.brood)?.code ?? 'another';
    return `Band ${other.band} is on bird ${other.number} of brood ${code} already. Look at both bands; what became of that bird may not be written yet.`;
  }
  return null;
}
