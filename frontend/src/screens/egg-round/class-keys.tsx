import type { Classes, EggClass } from './use-counting.ts';

const KEYS: [EggClass, string][] = [
  ['cracked', 'Cracked'],
  ['soiled', 'Soiled'],
  ['thin_shelled', 'Thin shell'],
];

interface Props {
  classes: Classes;
  off: boolean;
  onAdd: (which: EggClass) => void;
}

/** Among the eggs of the count that comes next: a tap adds one. They are tapped before the count, which takes them with it. */
export function ClassKeys({ classes, off, onAdd }: Props) {
  return (
    <fieldset class="class-keys" aria-label="Among them">
      {KEYS.map(([which, name]) => (
        <button
          key={which}
          type="button"
          disabled={off}
          data-some={classes[which] > 0 || undefined}
          onClick={() => onAdd(which)}
        >
          {name}
          {classes[which] > 0 && <b> {classes[which]}</b>}
        </button>
      ))}
    </fieldset>
  );
}
