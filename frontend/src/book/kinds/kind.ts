/** What every kind of entry has in common. */
import type { Day } from '../contract.ts';
import type { Barn, Struck, Written } from './barn.ts';
import type { Refusal } from './fields.ts';
import type { Names } from './names.ts';

export interface OneKind {
  /** Of the body that this app writes; 1 where no other is said. */
  version?: number;
  /** What is wrong with a body; null when it may be written. */
  check: (body: unknown) => Refusal | null;
  // biome-ignore lint/suspicious/noExplicitAny: each kind takes its own body; the wire's name picks the kind.
  words: (body: any, names: Names) => string;
  /** Asks once more about what is implausible, by what stands in the barn. */
  // biome-ignore lint/suspicious/noExplicitAny: as above.
  doubt?: (body: any, barn: Barn, day: Day) => string | null;
  /** Puts an entry's effect over the rows. */
  // biome-ignore lint/suspicious/noExplicitAny: as above.
  stands?: (barn: Barn, entry: Written<any>) => void;
  /** Takes the effect of a struck entry out of the rows. */
  // biome-ignore lint/suspicious/noExplicitAny: as above.
  unstands?: (barn: Barn, struck: Struck<any>) => void;
}
