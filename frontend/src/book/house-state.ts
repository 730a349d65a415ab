/** What the house says of itself and of who is signed in, as docs/wire.md gives it. Nothing here runs. */
import type { Id, Millis, Role } from './contract.ts';

export interface Me {
  person: Id;
  name: string;
  role: Role;
  device: Id | null;
  /** The highest the house has had from this device. */
  device_seq: number;
  farm: { id: Id; name: string; example: boolean };
}

export interface HouseState {
  protocol: 1;
  house: Id;
  book: Id;
  house_time: Millis;
  version: string;
  claimed: boolean;
  csrf: string;
  me: Me | null;
}

export interface BeginProgress {
  state: 'working' | 'ready' | 'failed';
  done: number;
  total: number;
  detail?: string;
}

/** RFC 9457 problem details. */
export interface Problem {
  type: string;
  title: string;
  status: number;
  code: string;
  detail: string;
  field?: string;
}
