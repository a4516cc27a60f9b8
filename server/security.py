"""What stands between the network and the pages: who may ask, how much, and what a browser may do with it."""

import ipaddress
import json
import socket
from urllib.parse import urlsplit

LIMIT = 1_000_000
"""The largest body that is read. [byte]"""

POLICY = (
    "default-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; object-src 'none'; "
    "base-uri 'none'; frame-ancestors 'none'; form-action 'self'"
)
"""Nothing from elsewhere. Styles may stand inline because the charts set their own."""

HEADERS = {
    "Content-Security-Policy": POLICY,
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}

_READING = ("GET", "HEAD", "OPTIONS")


class Guard:
    """Refuse requests under a foreign name, from a foreign page, or too large; and head every answer.

    A body is read whole, up to `LIMIT`, before the pages see any of it: so one sent in pieces without an
    announced length is counted too.
    """

    def __init__(self, app, hosts=()):
        self.app = app
        self.hosts = {name.lower() for name in (*own_names(), *hosts)}

    async def __call__(self, scope, receive, send):
        if scope["type"] != "http":
            return await self.app(scope, receive, send)
        send = _with_headers(send, scope["path"])
        headers = {name.decode("latin-1"): value.decode("latin-1") for name, value in scope["headers"]}
        refusal = self._refusal(scope["method"], headers)
        if refusal:
            return await _answer(scope, send, *refusal)
        if scope["method"] not in _READING or "content-length" in headers or "transfer-encoding" in headers:
            body = await _body(headers, receive)
            if body is None:
                return await _answer(scope, send, 413, "This is more than the workbench takes at once: 1 MB.")
            receive = _replayed(body, receive)
        return await self.app(scope, receive, send)

    def _refusal(self, method, headers):
        host = headers.get("host", "")
        if not self.knows(host):
            return (
                400,
                "The workbench does not answer under this name. Use the address it printed at its start.",
            )
        if method in _READING:
            return None
        if headers.get("sec-fetch-site", "none") not in ("same-origin", "none"):
            return 403, "This was sent from a page of another site, so it was refused."
        origin = headers.get("origin")
        if origin is not None and _netloc(origin) != host.lower():
            return 403, "This was sent from a page of another site, so it was refused."
        return None

    def knows(self, host):
        """Tell whether `host` names this machine: an address in numbers, or one of its own names.

        A foreign name that points here could be a foreign page that reaches in through its reader's browser.
        """
        try:
            name = urlsplit(f"//{host}").hostname or ""
        except ValueError:
            return False
        try:
            ipaddress.ip_address(name.partition("%")[0])
        except ValueError:
            return name.rstrip(".") in self.hosts
        return True


def own_names():
    """Return the names under which this machine's browser and its neighbours know it."""
    name = socket.gethostname().lower()
    short = name.partition(".")[0]
    return {"localhost", name, short, f"{short}.local"} - {"", ".local"}


def lan_address():
    """Return this machine's address on its network, or None without one. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("10.255.255.255", 9))  # only picks the interface
            address = probe.getsockname()[0]
        except OSError:
            return None
    return None if ipaddress.ip_address(address).is_loopback else address


def _netloc(origin):
    try:
        return urlsplit(origin).netloc.lower()
    except ValueError:
        return ""


async def _body(headers, receive):
    """Read the whole body; None where it is larger than `LIMIT`, announced or not."""
    announced = headers.get("content-length", "0")
    if announced.isdecimal() and int(announced[:20]) > LIMIT:
        return None
    body, more = bytearray(), True
    while more:
        message = await receive()
        if message["type"] == "http.disconnect":
            break
        body += message.get("body", b"")
        more = message.get("more_body", False)
        if len(body) > LIMIT:
            return None
    return bytes(body)


def _replayed(body, receive):
    """A `receive` that hands out the body that was read, then listens on."""
    waiting = [{"type": "http.request", "body": body, "more_body": False}]

    async def replay():
        return waiting.pop() if waiting else await receive()

    return replay


def _with_headers(send, path):
    """A `send` that adds the headers every answer has."""
    extra = [(name.lower().encode(), value.encode()) for name, value in HEADERS.items()]
    kept = _keeping(path).encode()

    async def headed(message):
        if message["type"] == "http.response.start":
            given = [pair for pair in message.get("headers", ()) if pair[0].lower() != b"cache-control"]
            good = message["status"] in (200, 206, 304)
            message = {
                **message,
                "headers": [*given, *extra, (b"cache-control", kept if good else b"no-store")],
            }
        await send(message)

    return headed


def _keeping(path):
    """How long a browser may keep what stands at `path`: a vendored file's name carries its version."""
    if path.startswith("/static/vendor/"):
        return "public, max-age=31536000, immutable"
    return "no-cache" if path.startswith("/static/") else "no-store"


async def _answer(scope, send, status, sentence):
    """Answer with a sentence, as text or in the form of the JSON interface."""
    if scope["path"].startswith("/api/"):
        kind, body = b"application/json", json.dumps({"errors": {"body": sentence}}).encode()
    else:
        kind, body = b"text/plain; charset=utf-8", sentence.encode()
    headers = [
        (b"content-type", kind),
        (b"content-length", str(len(body)).encode()),
        (b"connection", b"close"),
    ]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
