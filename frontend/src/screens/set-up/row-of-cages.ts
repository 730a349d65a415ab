/** A whole row of cages at once: "A1 to A10" as ten codes, each after the last one in the walk. */
export interface RowWanted {
  row: string;
  from: number;
  to: number;
}

const MOST = 60;

/** The codes of a row, the other way round where it is walked so; a sentence where it cannot be made. */
export function codesOf({ row, from, to }: RowWanted, taken: string[]): string[] | string {
  if (row.trim() === '') return 'Give the row a letter or a name.';
  const number = Math.abs(to - from) + 1;
  if (number > MOST) return `At most ${MOST} cages at once: these are ${number}.`;
  const step = to < from ? -1 : 1;
  const codes = Array.from({ length: number }, (_, i) => `${row.trim()}${from + step * i}`);
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

/** The cages of a row walked the other way round: the same places, taken from the other end. Only those that change. */
export function reversed<C extends { row: string; place: number }>(cages: C[], row: string): C[] {
  const there = cages.filter((c) => c.row === row).sort((a, b) => a.place - b.place);
  return there
    .map((cage, i) => ({ ...cage, place: there.at(-1 - i)?.place ?? cage.place }))
    .filter((cage, i) => cage.place !== there[i]?.place);
}
