import type { ComponentChildren } from 'preact';
import { useId } from 'preact/hooks';
import { Mark } from './mark.tsx';
import './field.css';

interface Said {
  label: string;
  hint?: string | undefined;
  /** One sentence: what is wrong and what to do. */
  wrong?: string | null | undefined;
}

function Around({
  id,
  label,
  hint,
  wrong,
  beside = false,
  children,
}: Said & { id: string; beside?: boolean; children: ComponentChildren }) {
  return (
    <div class="field" data-wrong={wrong ? true : undefined} data-beside={beside || undefined}>
      <label for={id}>{label}</label>
      {children}
      {hint !== undefined && !wrong && <small id={`${id}-hint`}>{hint}</small>}
      {wrong && (
        <small id={`${id}-hint`} class="wrong" role="alert">
          {wrong}
        </small>
      )}
    </div>
  );
}

interface TextProps extends Said {
  /** The label at its left, on one line: for a field that is mostly left empty. */
  beside?: boolean;
  value: string;
  onText: (text: string) => void;
  type?: 'text' | 'password' | 'date';
  name?: string;
  autocomplete?: string;
  inputMode?: 'text' | 'numeric' | 'decimal';
  required?: boolean;
  maxLength?: number;
}

export function TextField({
  label,
  hint,
  wrong,
  value,
  onText,
  type = 'text',
  beside = false,
  ...rest
}: TextProps) {
  const id = useId();
  return (
    <Around id={id} label={label} hint={hint} wrong={wrong} beside={beside}>
      <input
        {...rest}
        type={type as 'text'}
        id={id}
        value={value}
        aria-invalid={wrong ? true : undefined}
        aria-describedby={hint !== undefined || wrong ? `${id}-hint` : undefined}
        onInput={(event) => onText(event.currentTarget.value)}
      />
    </Around>
  );
}

export function LongField({
  label,
  hint,
  wrong,
  value,
  onText,
}: Said & { value: string; onText: (text: string) => void }) {
  const id = useId();
  return (
    <Around id={id} label={label} hint={hint} wrong={wrong}>
      <textarea
        id={id}
        rows={3}
        maxLength={500}
        value={value}
        aria-invalid={wrong ? true : undefined}
        onInput={(event) => onText(event.currentTarget.value)}
      />
    </Around>
  );
}

interface PickProps extends Said {
  value: string;
  options: { value: string; name: string }[];
  onPick: (value: string) => void;
}

export function PickField({ label, hint, wrong, value, options, onPick }: PickProps) {
  const id = useId();
  return (
    <Around id={id} label={label} hint={hint} wrong={wrong}>
      <select id={id} value={value} onChange={(event) => onPick(event.currentTarget.value)}>
        {options.map((o) => (
          <option key={o.value} value={o.value}>
            {o.name}
          </option>
        ))}
      </select>
    </Around>
  );
}

/** A few, said apart: −, the number, +. For birds and for eggs that are cracked: seldom more than three. */
export function CountField({
  label,
  hint,
  wrong,
  value,
  onCount,
  most = 999,
}: Said & { value: number; onCount: (n: number) => void; most?: number }) {
  const id = useId();
  const set = (n: number) => onCount(Math.min(most, Math.max(0, Number.isFinite(n) ? Math.trunc(n) : 0)));
  return (
    <div class="field count" data-wrong={wrong ? true : undefined}>
      <label for={id}>{label}</label>
      <div class="stepper">
        <button
          type="button"
          aria-label={`${label}: one less`}
          disabled={value <= 0}
          onClick={() => set(value - 1)}
        >
          <Mark name="less" />
        </button>
        <input
          id={id}
          inputMode="numeric"
          autocomplete="off"
          value={String(value)}
          onFocus={(event) => event.currentTarget.select()}
          onInput={(event) => set(Number(event.currentTarget.value.replace(/\D/g, '')))}
        />
        <button
          type="button"
          aria-label={`${label}: one more`}
          disabled={value >= most}
          onClick={() => set(value + 1)}
        >
          <Mark name="plus" />
        </button>
      </div>
      {hint !== undefined && !wrong && <small>{hint}</small>}
      {wrong && (
        <small class="wrong" role="alert">
          {wrong}
        </small>
      )}
    </div>
  );
}
