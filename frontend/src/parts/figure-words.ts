/** A figure in words: its value in the reader's unit, its interval, what it stands on, and what it still needs. */
import { showDay, showWhen } from './days.ts';
import { GRAMS_PER_OUNCE, type Unit } from './weight.ts';

/** What this part needs of a figure; the book's figure rows have it. Limits are at 95 %. */
export interface ShownFigure {
  name: string;
  span: string;
  unit: string;
  value: number | null;
  low: number | null;
  high: number | null;
  n: number;
  n_of: string;
  first_day: string | null;
  last_day: string | null;
  method: string;
  left_out: { what: string; count: number; why: string }[];
  missing: { reason: string; what: string; have: number | null; need: number | null; detail: string } | null;
  notes: string[];
  computed_at: number;
}

const SPANS: Record<string, string> = {
  '7d': '7 days',
  '28d': '28 days',
  '84d': '84 days',
  since_placed: 'since placed',
  all: '',
};
const NAMES: Record<string, string> = {
  lay_rate: 'Lay rate',
  usual_count: 'Usual count',
  fertility: 'Fertile, of eggs read at candling',
  hatch_of_fertile: 'Hatched, of fertile eggs',
  hatch_of_set: 'Hatched, of all eggs set',
  shipped_hatch_of_sent: 'Hatched at customers’, of all eggs sent',
  shipped_hatch_of_set: 'Hatched at customers’, of eggs set',
  broken_in_transit: 'Arrived broken',
  guess_right: 'Early guesses of sex that were right',
  dressing_share: 'Dressed weight, of live weight',
  plucked_clean: 'Plucked clean (grade 4 or 5)',
};

export function figureTitle(figure: Pick<ShownFigure, 'name' | 'span'>): string {
  const name = NAMES[figure.name] ?? plain(figure.name);
  const span = SPANS[figure.span] ?? figure.span.replace(/^box_/, 'boxes of ');
  return span === '' ? name : `${name}, ${span}`;
}

const plain = (word: string) => word.replaceAll('_', ' ');

function isShare(figure: ShownFigure): boolean {
  return figure.name === 'lay_rate' || figure.unit === 'share' || figure.unit === 'fraction';
}

/** Decimals that the interval can bear: none where it is wider than two of the unit. */
function decimals(low: number | null, high: number | null): number {
  return low !== null && high !== null && high - low < 2 ? 1 : 0;
}

export interface FigureWords {
  value: string;
  interval: string;
  /** 0 to 1 along the bar, for shares. */
  bar: { value: number; low: number; high: number } | null;
}

/** Null when the figure may not be shown. */
export function figureValue(figure: ShownFigure): FigureWords | null {
  const { value, low, high } = figure;
  if (value === null) return null;
  if (isShare(figure)) {
    const places = decimals(low === null ? null : low * 100, high === null ? null : high * 100);
    const percent = (x: number) => (x * 100).toFixed(places);
    return {
      value: `${percent(value)} %`,
      interval: low === null || high === null ? 'no interval' : `${percent(low)} to ${percent(high)} %`,
      bar: low === null || high === null ? null : { value, low, high },
    };
  }
  const narrow = low !== null && high !== null && high - low < 0.2;
  const places = figure.unit === 'oz' && narrow ? 2 : decimals(low, high);
  const write = (x: number) => (Number.isInteger(x) ? String(x) : x.toFixed(places));
  return {
    value: `${write(value)} ${plain(figure.unit)}`,
    interval: low === null || high === null ? 'no interval' : `${write(low)} to ${write(high)}`,
    bar: null,
  };
}

const WANTED: Record<string, string> = {
  days: 'days of counts',
  records: 'counts',
  intervals: 'counts',
  hen_days: 'hen-days',
};

/** What a reason says by itself, where no count can say it. */
const SENTENCES: Record<string, string> = {
  first_counted_in_lay:
    'The hens were in lay already when they were first counted: the start of their lay was not seen.',
  not_in_lay_yet: 'Not in lay yet.',
  no_peak_seen: 'The top of the lay has not been passed by two weeks yet.',
};

/** The word as it goes with the number: "1 count", "2 days of counts". */
const numbered = (n: number, words: string): string =>
  n === 1 ? words.replace(/^([\w-]+?)s\b/, '$1') : words;

/** "12 more days of counts are needed": what a figure needs before it may be shown. */
export function missingSentence({ missing: m }: Pick<ShownFigure, 'missing'>): string {
  if (!m) return 'Not reckoned yet.';
  const what = WANTED[m.what] ?? plain(m.what);
  const said = SENTENCES[m.reason];
  if (said !== undefined) return said;
  if (m.reason === 'contradiction') return `The entries contradict each other: ${m.detail}`;
  if (m.need !== null && m.have !== null && m.need > m.have && what !== '') {
    const more = Math.ceil(m.need - m.have);
    return `${more} more ${numbered(more, what)} ${more === 1 ? 'is' : 'are'} needed.`;
  }
  if (m.reason === 'no_records') return m.detail || 'No counts yet.';
  return m.detail || `Not yet: ${plain(m.reason)}.`;
}

/** "12 Feb to 11 Mar": the span it stands on. */
export function spanWords(figure: ShownFigure, today: string): string {
  if (figure.first_day === null || figure.last_day === null) return '';
  if (figure.first_day === figure.last_day) return showDay(figure.last_day, today);
  return `${showDay(figure.first_day, today)} to ${showDay(figure.last_day, today)}`;
}

export function nWords(figure: ShownFigure): string {
  const n = Number.isInteger(figure.n) ? figure.n : Math.round(figure.n);
  return `n = ${n} ${numbered(n, (WANTED[figure.n_of] ?? plain(figure.n_of)).replace('hen days', 'hen-days'))}`;
}

export function ageWords(figure: ShownFigure, now_ms: number): string {
  return `reckoned ${showWhen(figure.computed_at, now_ms)}`;
}

/** Why the house left something out, where its own word is too short. */
const WHY: Record<string, string> = {
  only_anchors: 'nobody knows how long those eggs had lain there',
  after_the_last_count: 'after the last count',
  numbers_contradict: 'their numbers contradict one another',
  lost: 'broken or taken out',
  not_read: 'not read',
  not_sexed_or_not_guessed: 'not guessed, or not sexed yet',
  bought_in: 'bought in',
  own_cost_not_known: 'what they had cost by then is not known: bought in, or spent',
  other_currency: 'feed bought in another currency',
  hatch_day_guessed: 'day of hatch not known',
};

export function leftOutWords(figure: ShownFigure): string {
  return figure.left_out
    .map((l) => `${l.count} ${numbered(l.count, plain(l.what))} (${WHY[l.why] ?? plain(l.why)})`)
    .join('; ');
}

/** Grams as the reader's unit; any other unit as it is. */
export function inUnit<F extends ShownFigure>(figure: F, unit: Unit): F {
  if (figure.unit !== 'g' || unit === 'g') return figure;
  const ounces = (grams: number | null) => (grams === null ? null : grams / GRAMS_PER_OUNCE);
  return { ...figure, unit, value: ounces(figure.value), low: ounces(figure.low), high: ounces(figure.high) };
}
