/** Headers on every response, whatever it is. */
export const COMMON_HEADERS: Readonly<Record<string, string>> = {
  'x-content-type-options': 'nosniff',
  // Not `no-referrer`: under it browsers may send "Origin: null" even to their own origin.
  'referrer-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  'permissions-policy': 'camera=(), microphone=(), geolocation=()',
  'x-frame-options': 'DENY',
};

/** The policy for everything that is no page: nothing may be loaded, run or framed. */
export const CLOSED_POLICY =
  "default-src 'none'; object-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/**
 * The policy for the page. `host` is the Host header, checked before: some browsers do not take
 * 'self' to include the WebSocket of the same origin, so it is named.
 */
export function pagePolicy(host: string): string {
  return [
    "default-src 'none'",
    "script-src 'self'",
    "style-src 'self'",
    "img-src 'self' data:",
    "font-src 'self'",
    "media-src 'self'",
    "manifest-src 'self'",
    `connect-src 'self' ws://${host} wss://${host}`,
    "object-src 'none'",
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
  ].join('; ');
}
