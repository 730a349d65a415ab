import './foot-line.css';

/** whole: all is in the book. part: some is on this phone only. cut: the house cannot be reached. needed: a person must act. */
export type FootState = 'whole' | 'part' | 'cut' | 'needed';

interface Props {
  state: FootState;
  text: string;
  detail?: string;
  href: string;
}

/** The one line at the foot that always tells the truth. The mark's shape says it too, not its colour alone. */
export function FootLine({ state, text, detail, href }: Props) {
  return (
    <footer class="foot-line" data-state={state}>
      <a href={href}>
        <svg width="20" height="20" viewBox="0 0 20 20" aria-hidden="true">
          {state === 'whole' && <circle cx="10" cy="10" r="7" fill="currentColor" />}
          {state === 'part' && (
            <>
              <circle cx="10" cy="10" r="6.5" fill="none" stroke="currentColor" stroke-width="2.5" />
              <path d="M10 3.5 a6.5 6.5 0 0 1 0 13 z" fill="currentColor" />
            </>
          )}
          {state === 'cut' && (
            <path
              d="M10 3.5 a6.5 6.5 0 1 0 6.5 6.5 M3 17 L17 3"
              fill="none"
              stroke="currentColor"
              stroke-width="2.5"
            />
          )}
          {state === 'needed' && (
            <path
              d="M10 2 L18.5 17 H1.5 Z M10 8 V12 M10 14 V15"
              fill="none"
              stroke="currentColor"
              stroke-width="2"
            />
          )}
        </svg>
        <span class="text" aria-live="polite">
          {text}
        </span>
        {detail !== undefined && <small>{detail}</small>}
      </a>
    </footer>
  );
}
