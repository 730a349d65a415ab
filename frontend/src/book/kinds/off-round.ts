/** The kinds that an egg round does without: they come after the first screen stands. */
import type { Kind } from '../contract.ts';
import * as birdSexed from './bird-sexed.ts';
import * as birdWeight from './bird-weight.ts';
import * as birdsPlaced from './birds-placed.ts';
import * as brood from './brood.ts';
import * as cage from './cage.ts';
import * as eggWeight from './egg-weight.ts';
import * as farm from './farm.ts';
import * as headCheck from './head-check.ts';
import type { OneKind } from './kind.ts';
import * as line from './line.ts';

export const OFF_ROUND = {
  farm,
  line,
  cage,
  brood,
  birds_placed: birdsPlaced,
  head_check: headCheck,
  egg_weight: eggWeight,
  bird_weight: birdWeight,
  bird_sexed: birdSexed,
} satisfies Partial<Record<Kind, OneKind>>;
