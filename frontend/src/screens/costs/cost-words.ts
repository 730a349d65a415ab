/** A cost in words: money without more decimals than say something, and how what was shared was shared. */
import type { CostFigure, CostPart, NotBorne } from '../../book/cost-page.ts';

export const NAMES: Record<string, string> = {
  dozen: 'A dozen eggs',
  chick: 'A chick',
  bird: 'A bird at the weighing age',
  kg: 'A kilogram dressed',
};

const MADE: Record<string, string> = {
  dozen: 'sound eggs',
  chick: 'chicks',
  bird: 'birds alive',
  kg: 'carcasses weighed',
};

const MEASURES: Record<string, string> = {
  bird_days: 'bird-days in the cages',
  eggs_set: 'eggs set',
  chicks_put_up: 'chicks put up',
  birds_processed: 'birds processed',
};

/** 0.168, 12.40: three digits where it is below one. */
export const money = (value: number): string => value.toFixed(Math.abs(value) < 1 ? 3 : 2);

export function partInWords({ what, amount, share, shared_by }: CostPart, currency: string): string {
  const of = shared_by === '' ? '' : `, ${(share * 100).toFixed(0)} % by ${MEASURES[shared_by] ?? shared_by}`;
  return `${what} ${money(amount)} ${currency}${of}`;
}

export const madeInWords = ({ name, n }: CostFigure): string => `${n} ${MADE[name] ?? ''}`.trim();

export function missingInWords({ missing }: CostFigure): string {
  if (missing === null) return '';
  if (missing.detail !== '') return `Not known: ${missing.detail}.`;
  return missing.what === '' ? 'Not known yet.' : `Not known: no ${missing.what} in the book.`;
}

const NOBODY: Record<string, string> = {
  laying: 'no eggs were collected',
  hatching: 'no eggs set in that month have hatched',
  rearing: 'no brood reached the weighing age',
  processing: 'no birds were processed',
  past_age: 'eaten by broods past the weighing age, or bought in',
};

/** "In no cost above: straw 7.00 EUR (no brood reached the weighing age)." */
export const notBorneInWords = (all: readonly NotBorne[]): string =>
  `In no cost above: ${all
    .map(
      ({ what, amount, currency, part }) =>
        `${what}${amount === null ? '' : ` ${money(amount)} ${currency}`} (${NOBODY[part] ?? part})`,
    )
    .join('; ')}.`;

export const monthInWords = (month: string): string =>
  new Date(`${month}-01T00:00Z`).toLocaleDateString(undefined, {
    month: 'long',
    year: 'numeric',
    timeZone: 'UTC',
  });
