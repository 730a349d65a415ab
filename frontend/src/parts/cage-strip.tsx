import { useEffect, useMemo, useRef } from 'preact/hooks';
import './cage-strip.css';

export interface StripCage {
  id: string;
  code: string;
  /** What this round says of the cage: a count, passed over, or nothing yet. */
  count: number | null;
  passed: boolean;
  clash?: boolean;
  asked?: boolean;
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
  if (cage.count !== null) return `${cage.count} counted${cage.asked ? ', in question' : ''}`;
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

  // The same function from drawing to drawing, so that a cage that did not change need not be drawn again.
  const latest = useRef(onJump);
  latest.current = onJump;
  const jump = useRef((id: string) => latest.current(id)).current;

  return (
    <nav aria-label={label}>
      <ol class="cage-strip" data-wrap={wrap || undefined} ref={list}>
        {cages.map((cage) => (
          <Stop key={cage.id} cage={cage} here={cage.id === here} onJump={jump} />
        ))}
      </ol>
    </nav>
  );
}

interface StopProps {
  cage: StripCage;
  here: boolean;
  onJump: (id: string) => void;
}

function Stop({ cage, here, onJump }: StopProps) {
  const { id, code, count, passed, clash = false, asked = false } = cage;
  return useMemo(
    () => (
      <li>
        <button
          type="button"
          aria-current={here ? 'step' : undefined}
          aria-label={`Cage ${code}, ${said(cage)}`}
          data-said={asked || passed || clash ? 'passed' : count !== null ? 'counted' : 'open'}
          onClick={() => onJump(id)}
        >
          <span class="code">{code}</span>
          <span class="said">
            {clash ? '?' : (count ?? (passed ? '–' : ''))}
            {asked && !clash && '?'}
          </span>
        </button>
      </li>
    ),
    [id, code, count, passed, clash, asked, here, onJump],
  );
}
