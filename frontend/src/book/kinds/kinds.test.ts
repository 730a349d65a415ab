import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { kindOf, learn, ON_ROUND, versionOf } from './index.ts';
import { OFF_ROUND } from './off-round.ts';

learn(OFF_ROUND);

/** The contract in the open: the house's tests read the same files. */
const FIXTURES = new URL('../../../../fixtures/entries/', import.meta.url);

interface Examples {
  version: number;
  accepted: { why: string; body: unknown }[];
  refused: { why: string; body: unknown; code: string; field: string }[];
}

interface Fixture extends Examples {
  kind: string;
  /** Of the versions before the newest. */
  older?: Examples[];
}

/** The examples of the version that this app writes. */
const written = ({ kind, older = [], ...newest }: Fixture): Examples & { kind: string } => {
  const own = [newest, ...older].find(({ version }) => version === versionOf(kind));
  if (!own) throw new Error(`No examples of version ${versionOf(kind)} of ${kind}`);
  return { kind, ...own };
};

const fixtures = readdirSync(FIXTURES)
  .filter((name) => name.endsWith('.json'))
  .map((name) => JSON.parse(readFileSync(new URL(name, FIXTURES), 'utf8')) as Fixture)
  .map(written);

test('every kind has its examples, and every example its kind', () => {
  expect(fixtures.map(({ kind }) => kind).sort()).toEqual(Object.keys({ ...ON_ROUND, ...OFF_ROUND }).sort());
});

test('a kind from a newer app is no kind, not an error; nor is a word of the language', () => {
  expect(kindOf('candling')).toBeUndefined();
  expect(kindOf('constructor')).toBeUndefined();
});

for (const { kind, accepted, refused } of fixtures)
  describe(kind, () => {
    test.each(accepted)('accepts $why', ({ body }) => {
      expect(kindOf(kind)?.check(body)).toBeNull();
    });
    test.each(refused)('refuses $why', ({ body, code, field }) => {
      const refusal = kindOf(kind)?.check(body);
      expect(refusal).toMatchObject({ code, field });
      expect(refusal?.detail).toMatch(/^[A-Z].*\.$/);
    });
    test('says its examples in plain words', () => {
      const named = (what: string) => () => what;
      const names = {
        cage: named('A3'),
        brood: named('26-07'),
        line: named('Slate Barrow'),
        bird: named('bird 12'),
        order: named('26-31'),
        shipment: named('P-26-09'),
        round: named('morning round'),
        entry: named('Cage A3: 5 eggs, morning round'),
      };
      for (const { body } of accepted) {
        const words = kindOf(kind)?.words(body, names);
        expect(words).toMatch(/^[A-Z]/);
        expect(words).not.toMatch(/undefined|null|\[object|0197c2a0/);
      }
    });
    test.each([null, undefined, 7, 'text', [], true])('refuses %j for a body', (body) => {
      expect(kindOf(kind)?.check(body)).not.toBeNull();
    });
  });
