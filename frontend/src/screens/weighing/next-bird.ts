/**
 * Which bird is on the scale. A banded bird is known by its band. Unbanded birds of one sex cannot be told apart, so the keeper says the
 * sex and the next one of that sex that was not weighed today is meant; a weight never lands on a bird of the other sex.
 */
import type { BirdRow, Day, Sex } from '../../book/index.ts';

export type Group = Sex | 'new';

export interface Unbanded {
  group: Group;
  /** Birds of this group not weighed today; for `new`, how many of the brood the book does not know one by one. */
  left: number;
}

const notWeighed = (bird: BirdRow, today: Day) =>
  bird.gone === null && bird.band === null && bird.weighed_on !== today;

export function unbanded(birds: BirdRow[], alive: number, today: Day): Unbanded[] {
  // Birds that left by number are still known one by one: more than are alive are never left.
  const of = (sex: Sex) =>
    Math.min(birds.filter((b) => b.sex === sex && notWeighed(b, today)).length, Math.max(1, alive));
  const groups: Unbanded[] = [
    { group: 'cock', left: of('cock') },
    { group: 'hen', left: of('hen') },
    { group: 'unsure', left: of('unsure') },
    { group: 'unsexed', left: of('unsexed') },
    { group: 'new', left: Math.max(0, alive - birds.filter((b) => b.gone === null).length) },
  ];
  return groups.filter((g) => g.left > 0);
}

/** The bird meant; undefined for one that the book does not know yet. */
export function nextUnbanded(birds: BirdRow[], group: Group, today: Day): BirdRow | undefined {
  if (group === 'new') return undefined;
  return birds.filter((b) => b.sex === group && notWeighed(b, today)).sort((a, b) => a.number - b.number)[0];
}
