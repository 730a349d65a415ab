import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { Mark } from './mark';
import './number-pad.css';
import type { PressGuard } from './press-guard';

interface Props {
  /** One tap is the count. After `More`, the second digit is; after `More` again, the third. */
  onCount: (count: number) => void;
  /** Kept by the screen, so that it stays shut over a change of cage. */
  guard: PressGuard;
  /** The key to the right of 0. */
  children?: ComponentChildren;
  label: string;
  /** What is counted: half a number typed for one is dropped at the next. */
  of: string;
  off?: boolean;
  /** A count is being written: the pad takes nothing, and keeps its look and the focus. */
  busy?: boolean;
}

const DIGITS = [1, 2, 3, 4, 5, 6, 7, 8, 9] as const;

interface Typing {
  of: string;
  places: number;
  typed: string;
}

/** The pad: digits are the counts. Its keys stay where they are from cage to cage; half a number never meets the next cage. */
export function NumberPad({ onCount, guard, children, label, of, off = false, busy = false }: Props) {
  const [typing, setTyping] = useState<Typing>({ of, places: 1, typed: '' });
  const { places, typed } = typing.of === of ? typing : { places: 1, typed: '' };
  const setPlaces = (to: number) => setTyping({ of, places: to, typed });
  const setTyped = (to: string) => setTyping({ of, places, typed: to });

  const digit = (d: number) => {
    if (off || busy) return;
    const so_far = typed + d;
    if (so_far.length < places) {
      setTyped(so_far); // half a number is no count: the guard is for counts
      return;
    }
    if (!guard.take()) return;
    setTyping({ of, places: 1, typed: '' });
    onCount(Number(so_far));
  };

  const back = () => {
    if (typed === '') setPlaces(1);
    else setTyped(typed.slice(0, -1));
  };

  const fromKeyboard = useRef(digit);
  fromKeyboard.current = digit;
  useEffect(() => {
    const key = (event: KeyboardEvent) => {
      const target = event.target as HTMLElement | null;
      if (event.ctrlKey || event.metaKey || event.altKey || event.repeat) return;
      if (target?.closest('input, textarea, select, dialog')) return;
      if (/^[0-9]$/.test(event.key)) fromKeyboard.current(Number(event.key));
    };
    addEventListener('keydown', key);
    return () => removeEventListener('keydown', key);
  }, []);

  return (
    <fieldset
      class="number-pad"
      aria-label={label}
      data-places={places}
      onPointerDown={(event) => guard.down(event.pointerId)}
    >
      {places > 1 && (
        <p class="typed" role="status">
          <span class="only-read">{places} digits: </span>
          {typed}
          <span aria-hidden="true">{'_'.repeat(places - typed.length)}</span>
        </p>
      )}
      {DIGITS.map((d) => (
        <button key={d} type="button" class="key" disabled={off} onClick={() => digit(d)}>
          {d}
        </button>
      ))}
      {places === 1 ? (
        <button type="button" class="key word" disabled={off} onClick={() => setPlaces(2)}>
          More
          <small>10 and up</small>
        </button>
      ) : (
        <button type="button" class="key word" onClick={back}>
          <Mark name="back" />
          <small>{typed === '' ? 'one digit' : 'take back'}</small>
        </button>
      )}
      <button type="button" class="key" disabled={off} onClick={() => digit(0)}>
        0
      </button>
      {places === 2 ? (
        <button type="button" class="key word" onClick={() => setPlaces(3)}>
          More
          <small>100 and up</small>
        </button>
      ) : places === 3 ? (
        <span />
      ) : (
        (children ?? <span />)
      )}
    </fieldset>
  );
}
