/** Where phones reach the house: what a printed square leads to. */
import { ways } from '../opening.ts';
import { ask } from './request.ts';

const HERE_ALONE = /^(localhost|127\.|\[::1\])/;

/** The address this page came from; on the house's own machine the house is asked. null: it serves no phone. Rejects as `ask`. */
export async function phoneAddress(at: Pick<Location, 'host' | 'origin'> = location): Promise<string | null> {
  if (!HERE_ALONE.test(at.host)) return at.origin;
  const { said } = await ask<{ address: string | null }>(ways, '/api/phone-address', { anyShape: true });
  return said.address;
}
