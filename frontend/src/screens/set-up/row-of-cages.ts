/** A whole row of cages at once: "A1 to A10" as ten codes, each after the last one in the walk. */
export interface RowWanted {
  row: string;
  from: number;
  to: number;
}

const MOST = 60;

/** The codes of a row; a sentence where it cannot be made. */
export function codesOf({ row, from, to }: RowWanted, taken: string[]): string[] | string {
  if (row.trim() === '') return 'Give the row a letter or a name.';
  if (to < from) return `The last cage, ${to}, comes before the first, ${from}.`;
  if (to - from + 1 > MOST) return `At most ${MOST} cages at once: these are ${to - from + 1}.`;
  const codes = Array.from({ length: to - from + 1 }, (_, i) => `${row.trim()}${from + i}`);
  const twice = codes.filter((code) => taken.includes(code));
  return twice.length > 0 ? `There already: ${twice.join(', ')}.` : codes;
}

export function nextPlace(cages: { place: number }[]): number {
  return cages.reduce((most, cage) => Math.max(most, cage.place), 0) + 1;
}

/** The cages in their new order, only those whose place changed: each gets the place of the one that stood there. */
export function moved<C extends { id: string; place: number }>(cages: C[], id: string, by: -1 | 1): C[] {
  const at = cages.findIndex((c) => c.id === id);
  const here = cages[at];
  const there = cages[at + by];
  if (!here || !there) return [];
  // Two that share a place would not change by trading it.
  const places = here.place === there.place ? [here.place + by, there.place] : [there.place, here.place];
  return [
    { ...here, place: places[0] ?? here.place },
    { ...there, place: places[1] ?? there.place },
  ].filter((c) => c.place !== cages.find((before) => before.id === c.id)?.place);
}
