/** Imports inside the book point one way: kinds and store know nothing of the trip, the trip nothing of what is shown. */
import { describe, expect, test } from 'vitest';

const files = import.meta.glob<string>('./**/*.ts', { query: '?raw', import: 'default', eager: true });

/** What a file imports, as paths within the book; what is outside of it begins with `../`. */
function importsOf(path: string, text: string): string[] {
  const from = path.slice(2).split('/').slice(0, -1);
  return [...text.matchAll(/(?:from|import\() ?'(\.[^']+)'/g)].map(([, to = '']) => {
    const parts = [...from];
    for (const part of to.split('/'))
      if (part === '..') parts.length > 0 ? parts.pop() : parts.push('..');
      else if (part !== '.') parts.push(part);
    return parts.join('/');
  });
}

/** Each group of files, and what it may know of besides itself. */
const MAY: [name: string, of: RegExp, may: RegExp][] = [
  ['the kinds of entry', /^kinds\//, /^(kinds\/|contract|bodies)/],
  ['the store', /^store\//, /^(store\/|contract|clock|about)/],
  [
    'the trip, which the worker makes too',
    /^trip\/(backoff|changes|errand|push|request|round-trip|sync)\.ts$/,
    /^(trip\/(backoff|changes|errand|push|request|round-trip)|store\/|contract|clock|refused|link|tabs)/,
  ],
  ['what is shown', /^view\//, /^(view\/|store\/|kinds\/|kinds-here|contract|about|clock|order)/],
  ['all of the book', /^/, /^((?!\.\.)|\.\.\/worker\/(register|round-open)\.ts$)/],
];

describe.each(MAY)('%s', (_, of, may) => {
  const own = Object.entries(files).filter(
    ([path]) => of.test(path.slice(2)) && !/\.test\.ts$|^\.\/testing\//.test(path),
  );
  test('is there', () => expect(own.length).toBeGreaterThan(0));
  test.each(own)('%s', (path, text) => {
    expect(importsOf(path, text).filter((to) => !may.test(to))).toEqual([]);
  });
});
