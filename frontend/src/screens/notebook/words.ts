/** The words for what a notebook's sheet and its columns may be. */
import type { What } from '../../book/trip/notebook.ts';

export const WHAT: { value: What; name: string; detail: string }[] = [
  { value: 'egg_counts', name: 'Egg counts', detail: 'a row a count, or a row a day with a column a cage' },
  { value: 'egg_weights', name: 'Egg weights', detail: 'cage and weight' },
  { value: 'bird_weights', name: 'Bird weights', detail: 'of birds that wear a band' },
  { value: 'hatches', name: 'Hatches', detail: 'a row a brood, with what was set where it is known' },
];

export const FIELD: Record<string, string> = {
  day: 'Day',
  cage: 'Cage',
  eggs: 'Eggs',
  round: 'Round',
  cracked: 'Cracked',
  soiled: 'Soiled',
  thin_shelled: 'Thin shell',
  weight: 'Weight',
  band: 'Band',
  line: 'Line',
  code: 'Brood',
  hatched_on: 'Hatched on',
  hatched: 'Chicks hatched',
  set_on: 'Set on',
  eggs_set: 'Eggs set',
  clear: 'Clear',
  dead_in_shell: 'Dead in shell',
  note: 'Note',
};
