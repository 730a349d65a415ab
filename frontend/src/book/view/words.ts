/** Entries in plain words, with the names the farm gives to things. */

import { kindOf } from '../kinds/index.ts';
import type { Names } from '../kinds/names.ts';
import { allKindsHere } from '../kinds-here.ts';
import { type EntryView, isOf } from './entry-view.ts';
import { findEntry } from './pages.ts';
import { standingNow } from './shelf.ts';

const UNKNOWN = '(not on this phone yet)';

const names: Names = {
  cage: (id) => standingNow.value.cages.get(id)?.code ?? UNKNOWN,
  brood: (id) => standingNow.value.broods.get(id)?.code ?? UNKNOWN,
  line: (id) => standingNow.value.lines.get(id)?.name ?? UNKNOWN,
  bird: (id) => {
    const bird = standingNow.value.birds.get(id);
    if (!bird) return 'a bird';
    return bird.band === null ? `bird ${bird.number}` : `band ${bird.band}`;
  },
  order: (id) => standingNow.value.orders.get(id)?.code ?? UNKNOWN,
  shipment: (id) => standingNow.value.shipments.get(id)?.code ?? UNKNOWN,
  round: (key) => {
    const name = standingNow.value.farm?.rounds.find((round) => round.key === key)?.name ?? key;
    return /\bround\b/i.test(name) ? name.toLowerCase() : `${name.toLowerCase()} round`;
  },
  entry: (id) => {
    const entry = findEntry(id);
    return entry && !isOf(entry, 'strike') ? inWords(entry) : 'an earlier entry';
  },
};

/** "Cage A3: 5 eggs, 1 cracked, morning round". */
export function inWords(entry: EntryView): string {
  const kind = kindOf(entry.kind);
  if (kind) return kind.words(entry.body, names);
  if (!allKindsHere.value) return '';
  return `An entry that this app cannot read yet (${entry.kind}): take the new version of the app.`;
}
