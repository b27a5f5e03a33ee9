"""What stands between the network and the page: who may ask, how much may be sent, what the page may load.

Another website must not be able to drive the page. A browser says in ``Host`` which name it was given for this
machine: a name that somebody else made lead here is not one of ours. In ``Origin`` it says which page asks, for
web sockets and for everything that is not a plain reading.
"""

from __future__ import annotations

import re
import secrets
from collections.abc import Awaitable, Callable, Iterable, MutableMapping, Sequence
from typing import Any
from urllib.parse import parse_qs

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

MAX_UPLOAD_BYTES = 256_000_000
"""As many as the largest boundary file that is read (`fieldplan.boundary.guard`)."""
MAX_MESSAGE_BYTES = 8_000_000
"""Of one message through a web socket: an outline of 200,000 vertices."""
TILES_ASKED = "tiles"
"""The query of a page whose reader has turned on tiles: ``?tiles=on``."""
_READING = ("GET", "HEAD")
_SOCKET_PATH = "/_nicegui_ws/"
_OPENING_TAG = re.compile(rb"<(script|style)(?=[\s>])")


def content_policy(nonce: str, tile_origins: Sequence[str] = ()) -> str:
    """What a page may load and run; DEVELOPERS.md gives the reason of each word that is looser than ``'self'``.

    Parameters
    ----------
    nonce
        Of this answer alone: scripts and styles that stand in the page carry it.
    tile_origins
        Servers of map tiles, where the reader has turned them on.
    """
    images = " ".join(("'self'", "data:", "blob:", *tile_origins))
    return "; ".join(
        (
            "default-src 'none'",
            f"script-src 'self' 'nonce-{nonce}' 'unsafe-eval'",
            f"style-src-elem 'self' 'nonce-{nonce}'",
            "style-src-attr 'unsafe-inline'",
            f"img-src {images}",
            "font-src 'self'",
            "connect-src 'self'",
            "frame-src 'self' blob:",
            "base-uri 'none'",
            "form-action 'none'",
            "frame-ancestors 'none'",
        )
    )


_ALWAYS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"x-frame-options", b"DENY"),
)


class Guard:
    """The application behind checks of every request and web socket.

    Parameters
    ----------
    app
        The application.
    port
        The port on which it listens: with this machine's own names it makes the hosts that are answered.
    tile_origins
        Servers whose images a page may show if its reader has turned on tiles.
    """

    def __init__(self, app: App, port: int, tile_origins: Sequence[str] = ()) -> None:
        self.app = app
        self._hosts = hosts(port)
        self._origins = frozenset(f"http://{host}" for host in self._hosts)
        self._tile_origins = tuple(tile_origins)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on what may be passed on, refuse everything else."""
        if scope["type"] == "lifespan":
            return await self.app(scope, receive, send)
        refused = self._refused(scope)
        if scope["type"] == "websocket":
            if refused:
                return await send({"type": "websocket.close", "code": 1008, "reason": refused})
            return await self.app(scope, receive, send)
        if refused:
            return await _answer(send, 403, refused)
        scope = {**scope, "headers": [one for one in scope["headers"] if not _of_a_proxy(one[0])]}
        length = _header(scope, b"content-length") or "0"
        if not length.isdigit() or int(length) > MAX_UPLOAD_BYTES:
            return await _answer(send, 413, "too much at once")
        answer = _Answer(send, self._images(scope))
        return await self.app(scope, _Limited(receive), answer)

    def _refused(self, scope: Scope) -> str:
        """Why a request is not passed on; empty if it is."""
        host, origin = _header(scope, b"host"), _header(scope, b"origin")
        site = _header(scope, b"sec-fetch-site")
        if host not in self._hosts:
            return "this machine has no such name here"
        if scope["type"] == "websocket":
            return "" if origin in self._origins else "another page asks"
        if origin is not None and origin not in self._origins:
            return "another page asks"
        if scope["path"].startswith(_SOCKET_PATH):
            return "only through a web socket"
        reading = scope["method"] in _READING
        if not reading and origin is None:
            return "it is not said which page asks"
        opened = reading and _header(scope, b"sec-fetch-mode") == "navigate"
        if site not in (None, "same-origin", "none") and not opened:
            return "another page asks"
        return ""

    def _images(self, scope: Scope) -> tuple[str, ...]:
        asked = parse_qs(scope.get("query_string", b"").decode("latin-1"))
        return self._tile_origins if asked.get(TILES_ASKED) == ["on"] else ()


def hosts(port: int) -> frozenset[str]:
    """What a browser on this machine says in ``Host``."""
    return frozenset(f"{name}:{port}" for name in ("127.0.0.1", "localhost", "[::1]"))


class _Limited:
    """The body of a request, as long as it is not too long: a header may say less than is sent."""

    def __init__(self, receive: Receive) -> None:
        self._receive, self._n_bytes = receive, 0

    async def __call__(self) -> Message:
        message = await self._receive()
        self._n_bytes += len(message.get("body", b""))
        if self._n_bytes > MAX_UPLOAD_BYTES:
            return {"type": "http.disconnect"}
        return message


class _Answer:
    """An answer with the headers that every answer has; pages are given a nonce."""

    def __init__(self, send: Send, images: Sequence[str]) -> None:
        self._send, self._images = send, images
        self._start: Message | None = None
        self._page = bytearray()

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = list(message.get("headers", ()))
            kept = [(name, value) for name, value in headers if name.lower() not in dict(_ALWAYS)]
            message = {**message, "headers": [*kept, *_ALWAYS]}
            if (_value(headers, b"content-type") or b"").startswith(b"text/html"):
                self._start = message  # until its length is known
                return
        elif message["type"] == "http.response.body" and self._start is not None:
            self._page += message.get("body", b"")
            if message.get("more_body"):
                return
            await self._send_page(self._start, bytes(self._page))
            return
        await self._send(message)

    async def _send_page(self, start: Message, page: bytes) -> None:
        nonce = secrets.token_urlsafe(18)
        marked = _OPENING_TAG.sub(rb'<\1 nonce="' + nonce.encode("ascii") + rb'"', page)
        kept = [(name, value) for name, value in start["headers"] if name.lower() != b"content-length"]
        policy = content_policy(nonce, self._images).encode("latin-1")
        headers = [
            *kept,
            (b"content-length", str(len(marked)).encode("ascii")),
            (b"content-security-policy", policy),
        ]
        await self._send({**start, "headers": headers})
        await self._send({"type": "http.response.body", "body": marked})


def _of_a_proxy(name: bytes) -> bool:
    """Whether a header is one that a proxy adds: there is none here, and the library writes some of them into the page."""
    return name.lower().startswith((b"x-forwarded-", b"forwarded"))


def _header(scope: Scope, name: bytes) -> str | None:
    found = _value(scope["headers"], name)
    return None if found is None else found.decode("latin-1").lower()


def _value(headers: Iterable[tuple[bytes, bytes]], name: bytes) -> bytes | None:
    """The value of a header; nothing that any host or origin has, if it stands there twice."""
    found = [value for key, value in headers if key.lower() == name]
    return None if not found else found[0] if len(found) == 1 else b", ".join(found)


async def _answer(send: Send, status: int, why: str) -> None:
    body = why.encode("utf-8")
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
    ]
    await send({"type": "http.response.start", "status": status, "headers": [*headers, *_ALWAYS]})
    await send({"type": "http.response.body", "body": body})
