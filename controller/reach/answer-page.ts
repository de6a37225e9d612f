import { createHash } from 'node:crypto';
import type { Proof } from './options.ts';

/** Text of anybody made fit for a page. */
const escaped = (text: string): string => text.replace(/[&<>"']/g, (char) => `&#${char.codePointAt(0)};`);

/** Large enough for a phone at arm's length at night, light or dark as the phone is set. */
const STYLE = `:root{color-scheme:light dark;font:112.5%/1.5 system-ui,sans-serif}
body{margin:0}main{max-width:32rem;margin:0 auto;padding:1.5rem}h1{font-size:1.6rem;line-height:1.2}
input,button{box-sizing:border-box;width:100%;min-height:60px;padding:.5rem .8rem;font:inherit;border:2px solid;border-radius:6px}
input{font-size:1.6rem;letter-spacing:.15em}button{font-weight:bold;cursor:pointer}
:focus-visible{outline:3px solid;outline-offset:3px}a{display:inline-block;padding:.8rem 0}`;

/** What the content policy of these pages must allow: this one style, by its SHA-256. */
export const STYLE_SOURCE = `'sha256-${createHash('sha256').update(STYLE).digest('base64')}'`;

const page = (title: string, body: string): string =>
  `<!doctype html>
<html lang="en">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="robots" content="noindex"><title>${title}</title><style>${STYLE}</style></head>
<body><main><h1>${title}</h1>
${body}
</main></body>
</html>
`;

/** The page behind the link of a test: only its button answers. `code` comes from the address. */
export function answerForm(code: string): string {
  return page(
    'Can you be reached?',
    `<form method="post" action="/reach/answer">
<p><label for="code">Code of the test message</label></p>
<p><input id="code" name="code" value="${escaped(code.slice(0, 40))}" autocomplete="one-time-code" autocapitalize="characters" spellcheck="false" required size="12"></p>
<p><button type="submit">Yes, this message reached me</button></p>
</form>
<p>This says only that test messages reach you. It acknowledges no alarm.</p>`,
  );
}

/** Thanks, with what was proved. */
export function answerThanks(proof: Proof): string {
  return page(
    'You can be reached',
    `<p>${escaped(proof.person)} is reached by: ${escaped(proof.channel)}. It is noted with the time.</p>`,
  );
}

/** Why the code did not count. */
export function answerRefused(why: string): string {
  return page(
    'The code did not count',
    `<p>${escaped(why)}</p><p><a href="/reach/answer">Try another code</a></p>`,
  );
}
