import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { Mark } from './mark.tsx';
import './weight-pad.css';
import type { PressGuard } from './press-guard.ts';
import { typedNumber, type Unit } from './weight.ts';

interface Props {
  unit: Unit;
  /** What is being weighed, for those who cannot see the page. */
  label: string;
  guard: PressGuard;
  off?: boolean;
  /** The number, and the text exactly as it was typed. */
  onWeight: (value: number, typed: string) => void;
  /** The first key of a number, also of a scale that types as a keyboard does. */
  onTyping?: () => void;
  /** What is on the scale, beside the number. */
  children?: ComponentChildren;
}

const KEYS = ['1', '2', '3', '4', '5', '6', '7', '8', '9'] as const;
const MOST = 6;
/** What takes letters for itself. A choice that was just tapped does not. */
const WRITING = 'input:not([type=radio], [type=checkbox]), textarea, select, dialog';

const inPad = (target: EventTarget | null) =>
  (target as HTMLElement | null)?.closest?.('.weight-pad button') != null;

/** Digits, a point, and a key to write it down: a weight has no length of its own, so it is not taken by itself. */
export function WeightPad({ unit, label, guard, off = false, onWeight, onTyping, children }: Props) {
  const [typed, setTyped] = useState('');
  const value = typedNumber(typed);
  const add = (key: string) => {
    if (off || typed.length >= MOST || (key === '.' && typed.includes('.'))) return;
    if (typed === '') onTyping?.();
    setTyped(typed + key);
  };
  const take = () => {
    if (value === null || off || !guard.take()) return;
    setTyped('');
    onWeight(value, typed);
  };

  const keyboard = useRef({ add, take, full: false, back: () => {} });
  keyboard.current = { add, take, full: value !== null, back: () => setTyped(typed.slice(0, -1)) };
  useEffect(() => {
    const key = (event: KeyboardEvent) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      if ((event.target as HTMLElement | null)?.closest(WRITING)) return;
      if (/^[0-9]$/.test(event.key)) keyboard.current.add(event.key);
      else if (event.key === '.' || event.key === ',') keyboard.current.add('.');
      else if (event.key === 'Backspace') keyboard.current.back();
      else if (event.key === 'Enter' && keyboard.current.full && !inPad(event.target)) {
        // A scale that types ends with Enter: that must not press what the finger touched last.
        event.preventDefault();
        keyboard.current.take();
      }
    };
    addEventListener('keydown', key);
    return () => removeEventListener('keydown', key);
  }, []);

  return (
    <fieldset class="weight-pad" aria-label={label} onPointerDown={(event) => guard.down(event.pointerId)}>
      <div class="weighed">
        <span class="on-scale">{children}</span>
        <output data-empty={typed === '' || undefined}>{typed === '' ? '0' : typed}</output>
        <small>{unit}</small>
      </div>
      {KEYS.map((key) => (
        <button key={key} type="button" class="key" disabled={off} onClick={() => add(key)}>
          {key}
        </button>
      ))}
      <button type="button" class="key" aria-label="Point" disabled={off} onClick={() => add('.')}>
        .
      </button>
      <button type="button" class="key" disabled={off} onClick={() => add('0')}>
        0
      </button>
      <button
        type="button"
        class="key word"
        disabled={off || typed === ''}
        onClick={() => setTyped(typed.slice(0, -1))}
      >
        <Mark name="back" />
        <small>take back</small>
      </button>
      <button type="button" class="button main" disabled={off || value === null} onClick={take}>
        Write {value === null ? 'it down' : `${typed} ${unit}`}
      </button>
    </fieldset>
  );
}
