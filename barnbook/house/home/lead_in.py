"""The one page at plain http: it leads a phone through trusting this house, opening the book, and the home screen.

It is an ASGI application of its own, and knows nothing of the book: what comes over plain http can be read on the way.
"""

from __future__ import annotations

import html
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Any

NAME_OF_FILE = "/barnbook-house.crt"
POLICY = "default-src 'none'; style-src 'self'; script-src 'self'; connect-src *; base-uri 'none'; form-action 'none'"

Send = Callable[[dict[str, Any]], Awaitable[None]]


@dataclass(slots=True)
class LeadIn:
    """certificate: the authority's, DER.  fingerprint: its SHA-256.  port: where the book is, by https.  plain_port: of
    this page.  name: what the house announces, such as barnbook.local; None while it announces none."""

    certificate: bytes
    fingerprint: str
    port: int
    plain_port: int
    name: str | None

    async def __call__(self, scope: dict[str, Any], receive: Any, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            return
        host = _host(scope)
        path = scope["path"]
        if scope["method"] not in ("GET", "HEAD"):
            await _answer(send, 405, "text/plain; charset=utf-8", b"This page is only to be read.\n")
        elif path == NAME_OF_FILE:
            await _answer(send, 200, "application/x-x509-ca-cert", self.certificate)
        elif path == "/lead-in.css":
            await _answer(send, 200, "text/css; charset=utf-8", STYLE.encode())
        elif path == "/lead-in.js":
            await _answer(send, 200, "text/javascript; charset=utf-8", SCRIPT.encode())
        elif path == "/here":
            await _answer(send, 200, "text/plain; charset=utf-8", b"here\n")
        elif path == "/" or path.startswith("/join/"):
            rest = path if path.startswith("/join/") else "/"
            await _answer(send, 200, "text/html; charset=utf-8", self._page(host, rest).encode())
        else:
            await _answer(send, 404, "text/plain; charset=utf-8", b"There is nothing here: open / instead.\n")

    def _page(self, host: str, rest: str) -> str:
        by_name = f"https://{self.name}:{self.port}{rest}" if self.name else ""
        there = f"http://{self.name}:{self.plain_port}/here" if self.name else ""
        values = {
            "BOOK": f"https://{host}:{self.port}{rest}",
            "BY_NAME": by_name,
            "THERE": there,
            "FILE": NAME_OF_FILE,
            "FINGERPRINT": self.fingerprint,
        }
        page = PAGE
        for name, value in values.items():
            page = page.replace(f"[{name}]", html.escape(value))
        return page


def _host(scope: dict[str, Any]) -> str:
    """The host by which the asker reached this page, without its port."""
    told = next((value for name, value in scope["headers"] if name == b"host"), b"").decode("latin-1")
    host = told.rpartition("]")[0] + "]" if told.startswith("[") else told.partition(":")[0]
    return host if host and all(letter.isalnum() or letter in "-.[]:" for letter in host) else "localhost"


async def _answer(send: Send, status: int, kind: str, content: bytes) -> None:
    headers = {
        "content-type": kind,
        "content-length": str(len(content)),
        "content-security-policy": POLICY,
        "x-content-type-options": "nosniff",
        "referrer-policy": "no-referrer",
        "cache-control": "no-store",
    }
    listed = [(name.encode(), value.encode()) for name, value in headers.items()]
    await send({"type": "http.response.start", "status": status, "headers": listed})
    await send({"type": "http.response.body", "body": content})


PAGE = """<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Barnbook: bring in this phone</title>
<link rel="stylesheet" href="/lead-in.css">
<script src="/lead-in.js" defer></script>
<main>
<h1>Bring in this phone</h1>
<p>Three steps, once. Then the book opens on this phone with or without signal.</p>

<h2>1. Trust this house</h2>
<p>The house signs for itself. Its certificate is good for addresses of a home network and for nothing else.</p>
<p><a class="do" href="[FILE]">Get the certificate</a></p>
<details>
<summary>Android</summary>
<ol>
<li>Tap the button above; the phone keeps the file.</li>
<li>Open Settings and search there for <b>CA certificate</b> (under Security, Encryption, Install a certificate).</li>
<li>Choose <b>CA certificate</b>, <b>Install anyway</b>, and the file <b>barnbook-house</b>.</li>
<li>Use Chrome for the book: Firefox does not take it without more.</li>
</ol>
</details>
<details>
<summary>iPhone, iPad</summary>
<ol>
<li>In Safari tap the button above, then <b>Allow</b>.</li>
<li>Settings, <b>Profile Downloaded</b> at the top, <b>Install</b>.</li>
<li>Settings, General, About, <b>Certificate Trust Settings</b>: switch Barnbook on. Without this step it counts for
nothing.</li>
</ol>
</details>
<details>
<summary>A computer</summary>
<ol>
<li>Windows: open the file, <b>Install Certificate</b>, Current User,
<b>Trusted Root Certification Authorities</b>.</li>
<li>Mac: open the file, find Barnbook in Keychain Access, and set Trust to <b>Always Trust</b>.</li>
<li>Linux: in Chrome's settings, Security, Manage certificates, Authorities, Import.</li>
</ol>
</details>
<p class="small">To be sure that it is this house's, compare with what the house printed. SHA-256:
<code>[FINGERPRINT]</code></p>

<h2>2. Open the book</h2>
<p><a class="do" id="book" href="[BOOK]" data-by-name="[BY_NAME]" data-there="[THERE]">Open the book</a></p>
<p class="small">If the phone warns now, step 1 is not done yet: do not go on past the warning,
for the book would not be kept on the phone.</p>
<p class="small" id="by-address">This is the house's address as a number. Ask for it to stay the same: in the router,
“reserve” it for this house.</p>

<h2>3. Put it on the home screen</h2>
<p><b>Android</b>, in Chrome: the menu (three dots), <b>Add to Home screen</b>, <b>Install</b>.</p>
<p><b>iPhone</b>, in Safari: <b>Share</b>, <b>Add to Home Screen</b>.</p>
<p>Then sign in, or open the code that the owner shows under Set-up, People.</p>
</main>
</html>
"""

# The look of the book, for a page without the app: same paper, same ink.
STYLE = """:root {
  color-scheme: light dark;
  --paper: #f7f0e1; --leaf: #fefaf0; --rule: #cfc2a4; --edge: #85795f; --ink: #1e1a13; --pencil: #4f4737;
  --main: #153e6b; --on-main: #fefaf0; --margin: #c98a7c;
}
@media (prefers-color-scheme: dark) {
  :root {
    --paper: #16130e; --leaf: #221e17; --rule: #3b3527; --edge: #877b63; --ink: #f3ead6; --pencil: #c3b79f;
    --main: #b0d1f2; --on-main: #16130e; --margin: #7c4034;
  }
}
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 400 1.0625rem/1.45 system-ui, sans-serif; }
main { max-width: 34rem; margin: 0 auto; padding: 1.25rem 1rem 2.5rem; }
h1 { margin: 0 0 .75rem; padding-bottom: .5rem; border-bottom: 3px double var(--edge);
  font: 600 1.875rem/1.15 Georgia, serif; }
h2 { margin: 2rem 0 .75rem; font: 600 1.375rem/1.2 Georgia, serif; }
p { margin: 0 0 .75rem; }
details { border-top: 1px solid var(--rule); }
details:last-of-type { border-bottom: 1px solid var(--rule); margin-bottom: 1rem; }
summary { min-height: 3.5rem; padding: 1rem .25rem; font-weight: 650; cursor: pointer; }
ol { margin: 0 0 1rem .25rem; padding-left: 1.5rem; border-left: 2px solid var(--margin); }
li { margin: .4rem 0; padding-left: .25rem; }
.do { display: block; min-height: 3.5rem; padding: 1rem; border-radius: .375rem; background: var(--main);
  color: var(--on-main); text-align: center; text-decoration: none; font-weight: 650; }
.do:focus-visible, summary:focus-visible { outline: 3px solid var(--main); outline-offset: 2px; }
.small { color: var(--pencil); font-size: .9375rem; }
code { overflow-wrap: anywhere; font-size: .875rem; color: var(--ink); }
"""

SCRIPT = """'use strict';
const book = document.getElementById('book');
const agent = navigator.userAgent;
const here = /Android/.test(agent) ? 0 : /iPhone|iPad/.test(agent) ? 1 : 2;
document.getElementsByTagName('details')[here].open = true;
const byName = () => { book.href = book.dataset.byName; document.getElementById('by-address').hidden = true; };
if (book.dataset.there) fetch(book.dataset.there, { mode: 'no-cors' }).then(byName, () => {});
"""
