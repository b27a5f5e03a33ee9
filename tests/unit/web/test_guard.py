"""Only this machine's own pages are answered."""

from __future__ import annotations

import asyncio
import re
from typing import Any

import pytest

from fieldplan.web.guard import MAX_UPLOAD_BYTES, Guard, content_policy

PORT = 8477
OWN = f"http://127.0.0.1:{PORT}"
PAGE = b"<!doctype html><script>1</script><style>a{}</style><script defer src='/x.js'></script>"


async def _inner(scope: Any, receive: Any, send: Any) -> None:
    """An application that reads all that is sent and answers with a page."""
    if scope["type"] == "websocket":
        await send({"type": "websocket.accept"})
        return
    more = True
    while more:
        message = await receive()
        if message["type"] == "http.disconnect":
            return
        more = message.get("more_body", False)
    headers = [(b"content-type", b"text/html; charset=utf-8"), (b"content-length", str(len(PAGE)).encode())]
    await send({"type": "http.response.start", "status": 200, "headers": headers})
    await send({"type": "http.response.body", "body": PAGE[:20], "more_body": True})
    await send({"type": "http.response.body", "body": PAGE[20:]})


def _asked(
    *,
    kind: str = "http",
    method: str = "GET",
    path: str = "/",
    query: bytes = b"",
    sent: list[bytes] | None = None,
    **headers: str,
) -> list[dict[str, Any]]:
    """What comes back for a request with headers, whose names are written with "_"."""
    given = {"host": f"127.0.0.1:{PORT}"} | headers
    scope = {
        "type": kind,
        "method": method,
        "path": path,
        "query_string": query,
        "headers": [(name.replace("_", "-").encode(), value.encode()) for name, value in given.items()],
    }
    parts = list(sent or [b""])
    back: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        part = parts.pop(0)
        return {"type": "http.request", "body": part, "more_body": bool(parts)}

    async def send(message: dict[str, Any]) -> None:
        back.append(message)

    asyncio.run(Guard(_inner, PORT, ["https://tiles.example"])(scope, receive, send))
    return back


def _status(back: list[dict[str, Any]]) -> int:
    return int(back[0]["status"]) if back else 0


@pytest.mark.parametrize(
    "host", [f"127.0.0.1:{PORT}", f"localhost:{PORT}", f"LOCALHOST:{PORT}", f"[::1]:{PORT}"]
)
def test_this_machine_is_answered_by_its_own_names(host: str) -> None:
    """As a browser writes them."""
    assert _status(_asked(host=host)) == 200


@pytest.mark.parametrize(
    "host",
    [
        *(
            "evil.example",
            f"evil.example:{PORT}",
            "127.0.0.1",
            "127.0.0.1:80",
            f"127.0.0.1.evil.example:{PORT}",
        ),
        *(
            f"127.0.0.2:{PORT}",
            f"0.0.0.0:{PORT}",
            f"127.0.0.1:{PORT}@evil.example",
            "",
            f"127.0.0.1:{PORT}, evil.example",
        ),
    ],
)
def test_a_name_that_somebody_made_lead_here_is_not_answered(host: str) -> None:
    """DNS rebinding: the browser was given another name, for a page and for a web socket."""
    assert _status(_asked(host=host)) == 403
    assert _asked(kind="websocket", host=host, origin=OWN)[0]["type"] == "websocket.close"


def test_two_hosts_are_none() -> None:
    """A request may not say two things."""
    scope = {
        "type": "http",
        "method": "GET",
        "path": "/",
        "query_string": b"",
        "headers": [(b"host", f"127.0.0.1:{PORT}".encode()), (b"host", b"evil.example")],
    }
    back: list[Any] = []

    async def send(message: Any) -> None:
        back.append(message)

    asyncio.run(Guard(_inner, PORT)(scope, None, send))  # type: ignore[arg-type]
    assert _status(back) == 403


@pytest.mark.parametrize(
    "origin",
    [
        *("https://evil.example", "null", "", "http://127.0.0.1", "http://127.0.0.1:8478", "file://"),
        *(f"https://127.0.0.1:{PORT}", f"http://127.0.0.1:{PORT}.evil.example", "http://localhost:80"),
    ],
)
def test_another_page_is_not_answered(origin: str) -> None:
    """Neither what it reads, nor what it sends, nor its web socket."""
    assert _status(_asked(origin=origin)) == 403
    assert _status(_asked(method="POST", origin=origin)) == 403
    assert (
        _asked(kind="websocket", path="/_nicegui_ws/socket.io/", origin=origin)[0]["type"]
        == "websocket.close"
    )


def test_our_own_page_is_answered() -> None:
    """Also by its other name."""
    for origin in (OWN, f"http://localhost:{PORT}"):
        assert _status(_asked(method="POST", origin=origin)) == 200
        assert (
            _asked(kind="websocket", path="/_nicegui_ws/socket.io/", origin=origin)[0]["type"]
            == "websocket.accept"
        )


def test_who_does_not_say_which_page_asks_cannot_change_anything() -> None:
    """Browsers always say it with what they send."""
    for method in ("POST", "PUT", "DELETE", "PATCH", "OPTIONS"):
        assert _status(_asked(method=method)) == 403
    assert _asked(kind="websocket")[0]["type"] == "websocket.close"


def test_what_another_page_embeds_is_not_answered() -> None:
    """A script, an image or a frame; a link that is followed is: it changes nothing."""
    assert _status(_asked(sec_fetch_site="cross-site", sec_fetch_mode="no-cors")) == 403
    assert _status(_asked(sec_fetch_site="same-site", sec_fetch_mode="no-cors")) == 403
    assert _status(_asked(sec_fetch_site="cross-site", sec_fetch_mode="navigate")) == 200
    assert _status(_asked(sec_fetch_site="none", sec_fetch_mode="navigate")) == 200
    assert _status(_asked(sec_fetch_site="same-origin", sec_fetch_mode="cors")) == 200


def test_the_conversation_goes_through_a_web_socket_alone() -> None:
    """The library would also take plain requests, which other pages could try to send."""
    assert _status(_asked(path="/_nicegui_ws/socket.io/")) == 403
    assert _status(_asked(path="/_nicegui_ws/socket.io/", method="POST", origin=OWN)) == 403


def test_what_a_proxy_would_say_is_not_passed_on() -> None:
    """The library writes such headers into its pages."""
    passed: list[bytes] = []

    async def app(scope: Any, receive: Any, send: Any) -> None:
        del receive, send
        passed.extend(name for name, _ in scope["headers"])

    scope = {
        "type": "http",
        "method": "GET",
        "path": "/",
        "query_string": b"",
        "headers": [
            (b"host", f"127.0.0.1:{PORT}".encode()),
            (b"X-Forwarded-Prefix", b"/elsewhere"),
            (b"forwarded", b"host=evil.example"),
            (b"accept", b"*/*"),
        ],
    }
    asyncio.run(Guard(app, PORT)(scope, None, None))  # type: ignore[arg-type]
    assert passed == [b"host", b"accept"]


def test_too_much_is_refused_before_it_is_read() -> None:
    """By what it says of its length."""
    assert _status(_asked(method="POST", origin=OWN, content_length=str(MAX_UPLOAD_BYTES + 1))) == 413
    assert _status(_asked(method="POST", origin=OWN, content_length="-1")) == 413
    assert _status(_asked(method="POST", origin=OWN, content_length="1e9")) == 413


def test_too_much_is_refused_as_it_comes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where it does not say its length, or says less."""
    monkeypatch.setattr("fieldplan.web.guard.MAX_UPLOAD_BYTES", 100)
    assert _status(_asked(method="POST", origin=OWN, sent=[b"a" * 60, b"b" * 40])) == 200
    assert _asked(method="POST", origin=OWN, sent=[b"a" * 60, b"b" * 41], content_length="10") == []


def test_every_page_has_its_policy_and_a_nonce_of_its_own() -> None:
    """Its scripts and styles carry that nonce; the length is that of what is sent."""
    seen = set()
    for _ in range(2):
        back = _asked()
        headers = dict(back[0]["headers"])
        policy = headers[b"content-security-policy"].decode()
        (nonce,) = set(re.findall(r"'nonce-([\w-]+)'", policy))
        body = back[1]["body"]
        assert body.count(f'nonce="{nonce}"'.encode()) == 3
        assert int(headers[b"content-length"]) == len(body)
        assert headers[b"x-frame-options"] == b"DENY"
        assert headers[b"x-content-type-options"] == b"nosniff"
        assert headers[b"referrer-policy"] == b"no-referrer"
        seen.add(nonce)
    assert len(seen) == 2


def test_the_policy_is_as_documented() -> None:
    """Word by word: what is looser than 'self' has its reason in DEVELOPERS.md."""
    assert content_policy("n").split("; ") == [
        "default-src 'none'",
        "script-src 'self' 'nonce-n' 'unsafe-eval'",
        "style-src-elem 'self' 'nonce-n'",
        "style-src-attr 'unsafe-inline'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "frame-src 'self' blob:",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
    ]


def test_tiles_are_allowed_where_they_are_asked_for() -> None:
    """And to a page that does not ask for them they are not."""
    asked = dict(_asked(query=b"tiles=on")[0]["headers"])[b"content-security-policy"].decode()
    assert "img-src 'self' data: blob: https://tiles.example;" in asked
    for query in (b"", b"tiles=off", b"tiles=on&tiles=off", b"tile=on"):
        plain = dict(_asked(query=query)[0]["headers"])[b"content-security-policy"].decode()
        assert "tiles.example" not in plain
