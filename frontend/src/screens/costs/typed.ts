/** Numbers as they are typed, and the currency that was typed last on this device. */

/** 14.5 and 14,5; null for anything else. */
export function asNumber(text: string): number | null {
  const plain = text.trim().replace(',', '.');
  return /^\d{1,7}(\.\d{1,4})?$/.test(plain) ? Number(plain) : null;
}

const KEY = 'barnbook-currency';

export function lastCurrency(): string {
  try {
    return localStorage.getItem(KEY) ?? '';
  } catch {
    return '';
  }
}

export function rememberCurrency(currency: string): void {
  try {
    localStorage.setItem(KEY, currency);
  } catch {
    // Typed again the next time.
  }
}
