/** The link by which a customer reports on a shipment: made by the house, for its owner, and kept nowhere on the phone. */
import type { Id } from '../contract.ts';
import { unsafely } from './customers.ts';

/** A fresh link; null where the owner has set no public address. Rejects with `Refused` or `CannotReach`. */
export const makeReportLink = async (shipment: Id): Promise<string | null> =>
  (await unsafely<{ link: string | null }>('POST', `/api/shipments/${shipment}/report-link`, {})).link;
