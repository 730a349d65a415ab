import { useEffect, useRef } from 'preact/hooks';
import './cage-strip.css';

export interface StripCage {
  id: string;
  code: string;
  /** What this round says of the cage: a count, passed over, or nothing yet. */
  count: number | null;
  passed: boolean;
  clash?: boolean;
}

interface Props {
  cages: StripCage[];
  here: string | null;
  onJump: (id: string) => void;
  label?: string;
  /** Laid out over several lines, where there is room, instead of scrolled. */
  wrap?: boolean;
}

function said(cage: StripCage): string {
  if (cage.clash) return 'counted twice';
  if (cage.count !== null) return `${cage.count} counted`;
  return cage.passed ? 'passed over' : 'not counted';
}

/** The row of cages: where the walk stands, what was counted, and any cage one tap away. */
export function CageStrip({ cages, here, onJump, label = 'Cages of this round', wrap = false }: Props) {
  const list = useRef<HTMLOListElement>(null);

  useEffect(() => {
    const row = list.current;
    const item = row?.querySelector<HTMLElement>('[aria-current="step"]');
    if (!row || !item) return;
    // Only the row moves: scrollIntoView would move the page under the thumb.
    row.scrollLeft = item.offsetLeft - row.offsetLeft - (row.clientWidth - item.offsetWidth) / 2;
  }, [here]);

  return (
    <nav aria-label={label}>
      <ol class="cage-strip" data-wrap={wrap || undefined} ref={list}>
        {cages.map((cage) => (
          <li key={cage.id}>
            <button
              type="button"
              aria-current={cage.id === here ? 'step' : undefined}
              aria-label={`Cage ${cage.code}, ${said(cage)}`}
              data-said={cage.count !== null ? 'counted' : cage.passed || cage.clash ? 'passed' : 'open'}
              onClick={() => onJump(cage.id)}
            >
              <span class="code">{cage.code}</span>
              <span class="said">{cage.clash ? '?' : (cage.count ?? (cage.passed ? '–' : ''))}</span>
            </button>
          </li>
        ))}
      </ol>
    </nav>
  );
}
