import { useId } from 'preact/hooks';
import './choice.css';

interface Props<T extends string> {
  label: string;
  value: T | null;
  options: { value: T; name: string; detail?: string }[];
  onChoose: (value: T) => void;
  /** Stacked, one under another, when the names are long. */
  stacked?: boolean;
  /** Where the options say enough by themselves, the label is only for those who cannot see them. */
  labelOnlyRead?: boolean;
}

/** One of a few, all in sight. */
export function Choice<T extends string>({
  label,
  value,
  options,
  onChoose,
  stacked = false,
  labelOnlyRead = false,
}: Props<T>) {
  const name = useId();
  return (
    <fieldset class="choice" data-stacked={stacked || undefined}>
      <legend class={labelOnlyRead ? 'only-read' : undefined}>{label}</legend>
      {options.map((o) => (
        <label key={o.value} data-chosen={o.value === value || undefined}>
          <input
            type="radio"
            name={name}
            value={o.value}
            checked={o.value === value}
            onChange={() => onChoose(o.value)}
          />
          <span>{o.name}</span>
          {o.detail !== undefined && <small>{o.detail}</small>}
        </label>
      ))}
    </fieldset>
  );
}
