/** What the house's table says of the numbers kept: nothing here estimates, it looks up, counts and adds. */
import type { BirdToChoose, ChoosingPage, ChosenSex, GroupToChoose, Kept } from '../../book/choosing-page.ts';

export type Numbers = Record<ChosenSex, number>;

/** How many stay when every bird at or over the cut does. */
export function keptAt(by_kept: readonly Kept[], cut_g: number): number {
  let kept = 0;
  for (const row of by_kept) if (row.cut_g >= cut_g) kept = row.kept;
  return kept;
}

export const rowOf = (group: GroupToChoose, sex: ChosenSex, kept: number): Kept | null =>
  kept === 0 ? null : (group.sexes[sex].by_kept[kept - 1] ?? null);

export const birdsOfGroup = (page: ChoosingPage, group: GroupToChoose): BirdToChoose[] =>
  group.key === 'line' ? page.birds : page.birds.filter((bird) => bird.brood === group.key);

/** The heaviest of each sex, so many of them. */
export function staying(birds: readonly BirdToChoose[], numbers: Numbers): BirdToChoose[] {
  const left = { ...numbers };
  return birds.filter((bird) => left[bird.sex]-- > 0);
}

/** Value, low and high of what the chicks gain: what each sex gives, added. Null where one cannot be told. */
export function gainOf(group: GroupToChoose, numbers: Numbers): [number, number, number] | null {
  const gains = (['cock', 'hen'] as const)
    .filter((sex) => numbers[sex] > 0)
    .map((sex) => rowOf(group, sex, numbers[sex])?.gain ?? null);
  if (gains.length < 2 || gains.some((gain) => gain === null)) return null;
  return [0, 1, 2].map((n) => gains.reduce((sum, gain) => sum + (gain?.[n] ?? 0), 0)) as [
    number,
    number,
    number,
  ];
}

/** How inbred chicks of these would be if they met by chance: the house's mean for each two broods, by how many stay. */
export function inbreedingOf(page: ChoosingPage, kept: readonly BirdToChoose[]): number | null {
  const { kin } = page;
  if (kin === null) return null;
  const of = (sex: ChosenSex) =>
    kept.filter((bird) => bird.sex === sex).map((b) => kin.broods.indexOf(b.brood));
  const [cocks, hens] = [of('cock'), of('hen')];
  if (cocks.length === 0 || hens.length === 0) return null;
  let sum = 0;
  for (const cock of cocks) for (const hen of hens) sum += kin.coancestry[cock]?.[hen] ?? 0;
  return sum / (cocks.length * hens.length);
}

/** Off-types among birds whose plumage somebody saw. */
export function offTypes(
  page: ChoosingPage,
  birds: readonly BirdToChoose[],
): { off: number; seen: number } | null {
  const seen = birds.filter((bird) => bird.plumage !== null);
  if (page.type === null || seen.length === 0) return null;
  return { off: seen.filter((bird) => bird.plumage !== page.type).length, seen: seen.length };
}
