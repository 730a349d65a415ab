import { type FigureRow, figures, type Subject, today } from '../../book/index.ts';
import { now_ms } from '../../parts/clock.ts';
import { Figure } from '../../parts/figure.tsx';

interface Props {
  subject: Subject;
  title: string;
  names: readonly string[];
  /** Only those of which there is something to say: a brood nobody guessed at has no score to wait for. */
  begun?: boolean;
}

const begunOf = ({ value, n, missing }: FigureRow) => value !== null || n > 0 || (missing?.have ?? 0) > 0;

/** Some of a subject's figures, each with its interval and what it stands on, or what is missing yet. */
export function FiguresOf({ subject, title, names, begun = false }: Props) {
  const of_it = figures.value.get(subject) ?? [];
  const shown = names
    .flatMap((name) => of_it.filter((figure) => figure.name === name))
    .filter((figure) => !begun || begunOf(figure));
  if (shown.length === 0) return null;
  return (
    <section class="stack">
      <h2>{title}</h2>
      {shown.map((figure) => (
        <Figure key={figure.id} figure={figure} today={today.value} now_ms={now_ms.value} />
      ))}
    </section>
  );
}
