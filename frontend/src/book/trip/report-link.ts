/** The link by which a customer reports on a shipment: made by the house, for its owner, and kept nowhere on the phone. */
import type { Day, Id } from '../contract.ts';
import { ways } from '../opening.ts';
import { Refused } from '../refused.ts';
import { unsafely } from './customers.ts';
import { ask } from './request.ts';

export interface ReportLink {
  url: string;
  /** The last day on which it takes a report. */
  until: Day;
}

/** A fresh link, shown once; where the house has no public address, why not, as a sentence. Rejects as `unsafely`. */
export async function makeReportLink(shipment: Id): Promise<ReportLink | string> {
  try {
    return await unsafely<ReportLink>('POST', `/api/shipments/${shipment}/link`);
  } catch (error) {
    if (error instanceof Refused && error.code === 'no_public_address') return error.message;
    throw error;
  }
}

/** What the customer wrote beside the numbers; empty where nothing. For owners; rejects as `ask`. */
export async function remarkOf(shipment: Id): Promise<string> {
  const { said } = await ask<{ text: string }>(ways, `/api/shipments/${shipment}/remark`, { anyShape: true });
  return said.text;
}
