/** What the house sends of who to whom, of a line: see docs/wire.md. Nothing here runs. */
import type { Day, Id, MissingFigure } from './contract.ts';
import type { PageFigure } from './house-pages.ts';

export interface MatingBird {
  bird: Id;
  brood: Id;
  brood_code: string;
  /** Its band, or its number in its brood. */
  name: string;
  sex: 'cock' | 'hen';
  hatched_on: Day;
  cage: Id | null;
}

export interface MatingStand {
  cage: Id;
  cocks: Id[];
  hens: Id[];
}

export interface MatingPage {
  birds: MatingBird[];
  missing: MissingFigure | null;
  plan: {
    stands: MatingStand[];
    /** Expected inbreeding of the chicks, hens alike. */
    expected: number;
    /** What a better plan could save at most; 0: none is better. */
    gap: number;
    worst: [Id, Id, number];
    at_random: number;
    left_out: Id[];
    limit: number;
  } | null;
  no_plan: { limit: number; least_worst: number; pairs: [Id, Id, number][]; birds: Id[] } | null;
  // Nothing of what follows where entries contradict one another.
  cocks?: Id[];
  hens?: Id[];
  cages?: { cage: Id; code: string; cocks: number; hens: number }[];
  /** A row for each of `cocks`, in it one for each of `hens`. */
  coancestry?: number[][];
  too_old?: MatingBird[];
  no_place?: MatingBird[];
  /** code, hatched on, inbreeding, keepers of it */
  by_brood?: [string, Day, number, number][];
  parents_inbreeding?: number | null;
  with_parents?: number;
  a_generation?: PageFigure;
  effective?: PageFigure;
}
