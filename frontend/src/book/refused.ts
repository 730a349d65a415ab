/** The two ways in which the house does not do what it was asked. */
import type { Millis } from './contract.ts';

/** The house could not be reached, or what answered was not the house (a portal, a proxy, a fault in the line). */
export class CannotReach extends Error {
  override name = 'CannotReach';
}

/** The house answered, and said no; or the phone says no before it is asked. */
export class Refused extends Error {
  override name = 'Refused';
  code: string;
  field: string | null;
  status: number;
  /** How long the house asked to be left alone. */
  retryAfter: Millis | null;

  constructor(
    detail: string,
    {
      code,
      field = null,
      status = 0,
      retryAfter = null,
    }: { code: string; field?: string | null; status?: number; retryAfter?: Millis | null },
  ) {
    super(detail);
    this.code = code;
    this.field = field;
    this.status = status;
    this.retryAfter = retryAfter;
  }
}
