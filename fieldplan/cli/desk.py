"""``fieldplan desk``: the page in the browser of this machine."""

from __future__ import annotations

from pathlib import Path

import click

from fieldplan.report.files import refuse_early
from fieldplan.report.words.plain import plain


@click.command("desk")
@click.option(
    "--port",
    type=click.IntRange(0, 65_535),
    default=8477,
    show_default=True,
    help="Port on this machine; 0 for any that is free.",
)
@click.option(
    "--folder",
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="Folder of the jobs.  [default: fieldplan, among your documents]",
)
@click.option(
    "--tiles",
    metavar="ADDRESS",
    help="Map tiles that the page may show when you turn them on, with {z}, {x} and {y} for zoom, column and row.  "
    "[default: aerial images of the US Geological Survey]",
)
@click.option("--tiles-credit", metavar="TEXT", default="", help="Whom the map names for them.")
@click.option("--no-browser", is_flag=True, help="Print the address and open no browser.")
def command(port: int, folder: Path | None, tiles: str | None, tiles_credit: str, no_browser: bool) -> None:
    """Open a page in the browser: draw or drop fields, fill in the job, see the plan as it changes.

    The page is for this machine alone and works without a network. Each job is a folder with fields.gpkg and job.toml,
    which the other commands read too. Stop it with Ctrl-C: everything is saved as you type.

    \b
    fieldplan desk
    fieldplan desk --folder jobs --port 0
    """
    from fieldplan.web.server import listening, require, serve
    from fieldplan.web.tiles import NATIONAL_MAP, Tiles

    require()
    images = NATIONAL_MAP if tiles is None else Tiles(address=tiles, attribution=tiles_credit)
    place = folder or _documents()
    refuse_early(place, (), force=True)

    def ready(address: str) -> None:
        click.echo(address)
        click.echo(plain(f"Jobs are in {place.absolute()}. Ctrl-C stops the page."), err=True)
        if not no_browser:
            click.launch(address)

    serve(place.absolute(), listening(port), ready=ready, tiles=images)


def _documents() -> Path:
    import platformdirs

    return platformdirs.user_documents_path() / "fieldplan"
