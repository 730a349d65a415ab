/** What this phone is called until its person says otherwise: the platform's own word. */
export function deviceName(): string {
  const says = (navigator as { userAgentData?: { platform?: string; mobile?: boolean } }).userAgentData;
  const platform =
    says?.platform ?? (/iPhone|iPad|Android|Mac|Windows|Linux/.exec(navigator.userAgent)?.[0] || 'A device');
  return says?.mobile || /iPhone|Android.*Mobile/.test(navigator.userAgent) ? `${platform} phone` : platform;
}
