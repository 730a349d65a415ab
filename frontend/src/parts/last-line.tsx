import type { ComponentChildren } from 'preact';
import './last-line.css';
import { Mark } from './mark.tsx';
import { Written } from './written.tsx';

export interface LastShown {
  /** Where it was written: the cage's code, the bird's number. */
  at: string;
  said: string;
  more: string;
  durable: boolean;
}

interface Props {
  last: LastShown | null;
  onUndo: () => void;
  /** What stands there before anything was written. */
  children?: ComponentChildren;
}

/** The last thing written, beside the one tap that undoes it. */
export function LastLine({ last, onUndo, children }: Props) {
  return (
    <div class="last" aria-live="polite">
      {last ? (
        <>
          <span>
            {last.at} <Written durable={last.durable}>{last.said}</Written>
            {last.more !== '' && <small> {last.more}</small>}
          </span>
          <button type="button" disabled={!last.durable} onClick={onUndo}>
            <Mark name="undo" size={22} /> Undo
          </button>
        </>
      ) : (
        <span class="quiet">{children}</span>
      )}
    </div>
  );
}
