"""Files that a browser sends to its own page: taken by a secret address, within limits, as bytes and shown names."""

from __future__ import annotations

import secrets
from collections.abc import AsyncGenerator, Awaitable, Callable

from nicegui import app
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException, MultiPartParser
from starlette.requests import Request
from starlette.responses import Response

from fieldplan.web.arrived import LARGEST_DROP_BYTES, MAX_FILES, Arrived

Taker = Callable[[tuple[Arrived, ...]], Awaitable[None]]
PATH = "/desk/drop/"
_AROUND_FILES_BYTES = 100_000
"""What a browser writes around the files."""
_takers: dict[str, Taker] = {}
_left: dict[str, tuple[Arrived, ...]] = {}


def address_for(taker: Taker) -> str:
    """An address that nobody can guess, to which files for ``taker`` are sent, until it is closed."""
    if not any(getattr(route, "path", "") == f"{PATH}{{token}}" for route in app.routes):
        app.post(f"{PATH}{{token}}", include_in_schema=False)(_receive)
    token = secrets.token_urlsafe(24)
    _takers[token] = taker
    return f"{PATH}{token}"


def close(address: str) -> None:
    """Take nothing at an address any more."""
    _takers.pop(address.removeprefix(PATH), None)


def leave_for(job: str, arrived: tuple[Arrived, ...]) -> None:
    """Leave files for the page of a job that is opened next."""
    _left[job] = arrived


def taken_over(job: str) -> tuple[Arrived, ...]:
    """Files that were left for the page of a job; they are there once."""
    return _left.pop(job, ())


async def _receive(token: str, request: Request) -> Response:
    taker = _takers.get(token)
    if taker is None:
        raise HTTPException(404)
    try:
        parser = MultiPartParser(
            request.headers, _limited(request.stream()), max_files=MAX_FILES, max_fields=0
        )
        form = await parser.parse()
    except _TooLargeError:
        raise HTTPException(413) from None
    except (MultiPartException, KeyError, ValueError):
        raise HTTPException(400) from None
    try:
        arrived = tuple(
            [
                Arrived(name=part.filename or "", content=await part.read())
                for _, part in form.multi_items()
                if isinstance(part, UploadFile)
            ]
        )
    finally:
        await form.close()
    await taker(arrived)
    return Response(status_code=204)


class _TooLargeError(Exception):
    """More is sent than is taken."""


async def _limited(stream: AsyncGenerator[bytes, None]) -> AsyncGenerator[bytes, None]:
    n_bytes = 0
    async for piece in stream:
        n_bytes += len(piece)
        if n_bytes > LARGEST_DROP_BYTES + _AROUND_FILES_BYTES:
            raise _TooLargeError
        yield piece
