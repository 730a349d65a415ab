/** What the slip in the box says beside its eggs. Each advice with where it is from; what has no source says so. */
import type { LineRow } from '../../book/index.ts';

export const RULES =
  'Hatching eggs that change place are under veterinary rules that differ from one country and state to the next: tests, papers and permits may be asked for on both sides. Go by them, and ask your veterinary authority.';

export interface Advice {
  say: string;
  source: string;
}

export function adviceFor(lines: readonly LineRow[]): Advice[] {
  const days = (pick: (line: LineRow) => number): string => {
    const all = [...new Set(lines.map(pick))].sort((a, b) => a - b);
    return all.length > 1 ? `${all[0]} to ${all.at(-1)}` : String(all[0] ?? '');
  };
  return [
    {
      say: 'Look at each egg when it comes. Leave out cracked ones. Let the others stand, large end up, for half a day at the warmth of the room before they are set.',
      source: 'common practice, no source',
    },
    {
      say: 'Set them as soon as they have rested; a week from the day they were laid is the most that is advised. Until then 10 to 18 °C (50 to 65 °F), 70 % moisture.',
      source: 'Mississippi State University Extension; trials differ',
    },
    {
      say: 'Set at 37.5 to 37.7 °C (99.5 to 99.8 °F) with a fan, at 50 to 60 % moisture. Turn two to three times a day, by 45 degrees or more.',
      source: 'review, USAMV Cluj, Zootehnie 5280',
    },
    {
      say: `Stop turning on day ${days((l) => l.lockdown_on_day)} and raise the moisture to 70 to 80 %.`,
      source: 'moisture: the same review; the day: breeders’ pages, weak',
    },
    {
      say: `They hatch on day ${days((l) => l.hatch_on_day)} or the day after.`,
      source: 'poultryhub.org, 17 to 18 days',
    },
  ];
}

export const WASH =
  'Wash your hands after handling eggs and birds. Ask a veterinarian about birds that do not look well.';
