/** What the house sends of a line's plumage: see docs/wire.md. Nothing here runs. */
import type { Day } from './contract.ts';
import type { PageFigure } from './house-pages.ts';

export interface PlumageShare {
  key: string;
  words: string;
  is_type: boolean;
  /** False: seen on chicks, but the line names no such class (any more). */
  named: boolean;
  chicks: number;
  /** What the line is sold as, 0 to 1; null: nothing is claimed. */
  claimed: number | null;
  share: PageFigure;
}

export interface Recessive {
  key: string;
  frequency: PageFigure;
  carriers: PageFigure;
  /** generations of culling, share of chicks that show it: likely, low, high; empty where it cannot be told */
  culled: [number, number, number, number][];
  rare_enough: number;
  /** Until the class is that rare: likely, at best, at worst; empty where it cannot be told. */
  generations: number[];
}

/** shows_it, known_carrier, own_daughters */
export type TestMate = string;

export interface OffTypeWeight {
  /** "": all off-types together. */
  key: string;
  difference: PageFigure;
  cost: PageFigure;
}

export interface TrueToTypePage {
  classes: PlumageShare[];
  /** Chicks by the cages that their eggs came from, in the order of the classes. */
  groups: { cages: string[]; chicks: number[] }[];
  not_looked: number;
  claim: { said_on: Day | null; p: PageFigure; error: number; groups: number } | null;
  /** A class of this share is seen with 95 % among so many chicks. */
  rare: { share: number; chicks: number }[];
  recessive: Recessive[];
  /** Test chicks that clear a cock at 95 and at 99 %. */
  clear: { mate: TestMate; chicks: [number, number] }[];
  /** clear chicks, chance that he carries it: one parent was a carrier, both were */
  carrier: { mate: TestMate; left: [number, number, number][] }[];
  weights: OffTypeWeight[];
}
