"""The server of the page: listens on this machine alone, and stops when it is told to."""

from __future__ import annotations

import asyncio
import os
import socket
from collections.abc import Callable
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Any

from fieldplan.errors import FieldplanError, MissingExtra, UsageError
from fieldplan.facts import fact
from fieldplan.web.guard import MAX_MESSAGE_BYTES, Guard
from fieldplan.web.jobs import Jobs
from fieldplan.web.planning import Planner
from fieldplan.web.tab import Tab, Tabs
from fieldplan.web.tiles import NATIONAL_MAP, Tiles

HOST = "127.0.0.1"


def require() -> None:
    """Stop early if the libraries of the page are not installed.

    Raises
    ------
    MissingExtra
        With the extra to install.
    """
    import importlib.util

    if not all(importlib.util.find_spec(library) for library in ("nicegui", "tomlkit")):
        raise MissingExtra.named("web", fact("extra-for/desk"))


def listening(port: int) -> socket.socket:
    """A socket on this machine alone.

    Parameters
    ----------
    port
        0 for any that is free.

    Raises
    ------
    UsageError
        If another program has the port.
    """
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name != "nt":
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((HOST, port))
        made.listen(128)  # who comes before the server is ready waits
    except OSError as refused:
        made.close()
        raise UsageError.of(
            "port-taken", about="--port", given=str(port), why=refused.strerror or ""
        ) from None
    return made


def serve(
    folder: Path,
    bound: socket.socket,
    *,
    ready: Callable[[str], None],
    today: Callable[[], date] = date.today,
    tiles: Tiles = NATIONAL_MAP,
) -> None:
    """Serve pages until the program is stopped.

    Parameters
    ----------
    folder
        The folder of jobs.
    bound
        The socket, from `listening`.
    ready
        Is told the address once pages are answered.
    tiles
        Images that a page may show behind its map when its reader turns them on; the server itself fetches nothing.
    """
    require()
    # the library would read and write a folder of its own where the program was started
    os.environ.setdefault("NICEGUI_STORAGE_PATH", str(folder / ".fieldplan-page"))
    import uvicorn
    from fastapi import FastAPI
    from nicegui import app, ui

    jobs, planner, tabs = Jobs(folder), Planner(), Tabs()
    port = bound.getsockname()[1]
    address = f"http://{HOST}:{port}/"
    _routes(app)
    _pages(ui, jobs, planner, tabs, today, tiles)
    app.config.socket_io_js_transports = ["websocket"]
    app.on_startup(lambda: _begin(planner, jobs, tabs, today()))
    app.on_startup(lambda: ready(address))
    app.on_shutdown(tabs.flush_all)
    app.on_shutdown(planner.stop)
    outer = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    ui.run_with(
        outer,
        title="fieldplan desk",
        dark=None,
        language="en-US",
        favicon=_ICON,
        tailwind=False,
        gzip_middleware_factory=None,
        show_welcome_message=False,
        reconnect_timeout=10.0,
        binding_refresh_interval=None,
    )
    config = uvicorn.Config(
        Guard(outer, port, (tiles.origin,)),
        log_level="warning",
        ws_max_size=MAX_MESSAGE_BYTES,
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=2,
    )
    try:
        uvicorn.Server(config).run(sockets=[bound])
    finally:
        planner.stop()


def _begin(planner: Planner, jobs: Jobs, tabs: Tabs, today: date) -> None:
    """Start the workers and have them ready; one plans the job that was saved last, the likeliest to be opened."""
    loop = asyncio.get_running_loop()
    planner.compiling = lambda on: _in(loop, tabs.told_of_compiling, on)
    planner.begin()
    planner.warm(today)
    for listed in jobs.listed()[:1]:
        with suppress(FieldplanError):
            kept = jobs.take_up(listed.name)
            planner.look_ahead(kept.draft, kept.folder, today=today)


def _in(loop: asyncio.AbstractEventLoop, call: Callable[[bool], None], on: bool) -> None:
    """Call something in the loop of the pages; nothing once it is closed."""
    with suppress(RuntimeError):
        loop.call_soon_threadsafe(call, on)


_ICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16"><rect width="16" height="16" rx="3" fill="#14532d"/>'
    '<path d="M4 13V5a2 2 0 0 1 4 0v6a2 2 0 0 0 4 0V3" fill="none" stroke="#fde68a" stroke-width="1.6"/></svg>'
)


def _routes(app: Any) -> None:
    """The files that pages load."""
    from fastapi.responses import Response

    from fieldplan.web.assets import ASSETS

    for name, (kind, make) in ASSETS.items():
        content = make()

        def answer(content: str = content, kind: str = kind) -> Response:
            return Response(content, media_type=kind, headers={"cache-control": "no-cache"})

        app.get(f"/desk/{name}", include_in_schema=False)(answer)


def _pages(
    ui: Any, jobs: Jobs, planner: Planner, tabs: Tabs, today: Callable[[], date], tiles: Tiles
) -> None:
    from nicegui import Client

    from fieldplan.web import page, start

    async def all_jobs() -> None:
        _head(ui)
        start.build(jobs, await asyncio.to_thread(jobs.listed))

    async def one_job(name: str, client: Client) -> None:
        _head(ui)
        ui.page_title(f"{name} · fieldplan desk")
        await tabs.flush(name)
        try:
            kept = await asyncio.to_thread(jobs.take_up, name)
        except FieldplanError as error:
            start.refused(error.problems)
            return
        tab = Tab(kept, jobs, planner, tabs, today)
        tab.desk.tiles = tiles
        client.on_delete(tab.close)
        page.build(tab)

    ui.page("/", title="fieldplan desk")(all_jobs)
    ui.page("/job/{name}")(one_job)


def _head(ui: Any) -> None:
    ui.add_head_html('<link rel="stylesheet" href="/desk/page.css">')
    ui.add_head_html('<link rel="stylesheet" href="/desk/forms.css">')
    for script in ("route.js", "ended.js"):
        ui.add_head_html(f'<script defer src="/desk/{script}"></script>')
