import {
  figureValue,
  leftOutWords,
  missingSentence,
  nWords,
  type ShownFigure,
  spanWords,
} from './figure-words.ts';
import './figure-line.css';

interface Props {
  /** What it is, where the page does not say it beside it. */
  name?: string;
  figure: Omit<ShownFigure, 'computed_at'>;
  today: string;
  /** Without its span, where the page has said it for all. */
  spanSaid?: boolean;
}

/** A figure on one line of a page that says once for all of them when they were reckoned. */
export function FigureLine({ name, figure, today, spanSaid = false }: Props) {
  const shown = { ...figure, computed_at: 0 };
  const words = figureValue(shown);
  const left_out = leftOutWords(shown);
  return (
    <p class="figure-line">
      {name !== undefined && <span class="name">{name} </span>}
      {words ? (
        <>
          <b>{words.value}</b> <span>({words.interval})</span>{' '}
          <small>
            {nWords(shown)}
            {!spanSaid && figure.first_day !== null && <> · {spanWords(shown, today)}</>}
            {left_out !== '' && <> · left out: {left_out}</>}
          </small>
        </>
      ) : (
        <span class="missing">{missingSentence(shown)}</span>
      )}
    </p>
  );
}
