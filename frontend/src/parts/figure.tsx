import './figure.css';
import {
  ageWords,
  figureTitle,
  figureValue,
  leftOutWords,
  missingSentence,
  nWords,
  type ShownFigure,
  spanWords,
} from './figure-words.ts';

interface Props {
  figure: ShownFigure;
  /** What it is, where the figure's own name says less. */
  name?: string;
  /** What stands beside n. */
  beside?: string;
  today: string;
  now_ms: number;
}

/** A figure is never bare: interval, n, span and age stand beside it, and with too little data a sentence stands in its place. */
export function Figure({ figure, name, beside, today, now_ms }: Props) {
  const words = figureValue(figure);
  const left_out = leftOutWords(figure);
  return (
    <section class="figure">
      <h3>{name ?? figureTitle(figure)}</h3>
      {words ? (
        <>
          <p class="value">
            {words.value}
            <span class="interval"> {words.interval}</span>
          </p>
          {words.bar && <IntervalBar {...words.bar} />}
          <p class="stands-on">
            {nWords(figure)}
            {beside !== undefined && ` of ${beside}`} · {spanWords(figure, today)}
          </p>
        </>
      ) : (
        <p class="missing">{missingSentence(figure)}</p>
      )}
      <p class="stands-on">
        {words ? '95 % interval · ' : ''}
        {ageWords(figure, now_ms)}
        {left_out !== '' && <> · left out: {left_out}</>}
      </p>
    </section>
  );
}

/** Where on 0 to 100 % the figure lies, and how sure. The words beside it say the same. */
function IntervalBar({ value, low, high }: { value: number; low: number; high: number }) {
  const x = (share: number) => Math.min(1, Math.max(0, share)) * 100;
  return (
    <svg class="interval-bar" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
      <path d="M0 5 H100 M0 2 V8 M25 3.5 V6.5 M50 2.5 V7.5 M75 3.5 V6.5 M100 2 V8" class="ruler" />
      <path d={`M${x(low)} 5 H${x(high)}`} class="between" />
      <path d={`M${x(value)} 0 V10`} class="at" />
    </svg>
  );
}
