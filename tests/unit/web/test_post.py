"""What a browser may send: at secret addresses alone, and not more than is taken."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncGenerator

import pytest

pytest.importorskip("nicegui")

from starlette.exceptions import HTTPException
from starlette.requests import Request

from fieldplan.web.arrived import MAX_FILES, Arrived
from fieldplan.web.parts.where import post

PART = b'--x\r\nContent-Disposition: form-data; name="file"; filename="%s"\r\n\r\n%s\r\n'


def sent(body: AsyncGenerator[bytes, None], address: str) -> tuple[int, list[Arrived]]:
    """The status of the answer, and what was taken."""
    taken: list[Arrived] = []

    async def take(arrived: tuple[Arrived, ...]) -> None:
        taken.extend(arrived)

    async def ask() -> int:
        right = post.address_for(take)
        scope = {
            "type": "http",
            "method": "POST",
            "path": right,
            "headers": [(b"content-type", b"multipart/form-data; boundary=x")],
        }

        async def receive() -> dict[str, object]:
            try:
                return {"type": "http.request", "body": await anext(body), "more_body": True}
            except StopAsyncIteration:
                return {"type": "http.request", "body": b"", "more_body": False}

        token = (address or right).removeprefix(post.PATH)
        try:
            answer = await post._receive(token, Request(scope, receive))
        except HTTPException as refused:
            return refused.status_code
        finally:
            post.close(right)
        return answer.status_code

    return asyncio.run(ask()), taken


async def pieces(*whole: bytes) -> AsyncGenerator[bytes, None]:
    """A body in pieces."""
    for piece in whole:
        yield piece


async def endless() -> AsyncGenerator[bytes, None]:
    """A file without an end, whatever its header says."""
    yield PART % (b"a.zip", b"")
    while True:
        yield bytes(4_000_000)


def test_files_come_with_their_names_and_bytes() -> None:
    """Two files in one piece of mail, cut anywhere."""
    mail = PART % (b"a.shp", b"\0\1\2") + PART % (b"../b.dbf", b"") + b"--x--\r\n"
    status, taken = sent(pieces(mail[:50], mail[50:]), "")
    assert status == 204
    assert taken == [Arrived(name="a.shp", content=b"\0\1\2"), Arrived(name="../b.dbf", content=b"")]


def test_more_than_is_taken_is_stopped() -> None:
    """A body that does not end is read up to the limit and no further."""
    body = endless()
    status, taken = sent(body, "")
    assert (status, taken) == (413, [])


def test_too_many_files_are_stopped() -> None:
    """One file too many."""
    mail = (PART % (b"a", b"")) * (MAX_FILES + 1) + b"--x--\r\n"
    assert sent(pieces(mail), "") == (400, [])


@pytest.mark.parametrize("address", [f"{post.PATH}guessed", post.PATH])
def test_a_guessed_address_takes_nothing(address: str) -> None:
    """Nor does that of a page that is closed."""
    mail = PART % (b"a", b"") + b"--x--\r\n"
    assert sent(pieces(mail), address) == (404, [])
