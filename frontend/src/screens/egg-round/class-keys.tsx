import { Mark } from '../../parts/mark.tsx';
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
  onBack: () => void;
}

/** Among the eggs of the count that comes next: a tap adds one, the last key takes the last tap back. They are tapped before the count, which takes them with it. */
export function ClassKeys({ classes, off, onAdd, onBack }: Props) {
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
      <button
        type="button"
        aria-label="One less"
        disabled={off || !KEYS.some(([which]) => classes[which] > 0)}
        onClick={onBack}
      >
        <Mark name="back" />
      </button>
    </fieldset>
  );
}
