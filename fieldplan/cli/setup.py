"""``fieldplan setup``: the set-up card."""

from __future__ import annotations

from pathlib import Path

import click

from fieldplan.cli.mixes import mix_named, mix_option
from fieldplan.cli.options import job_option, json_option, units_option
from fieldplan.jobfile.load import load_job
from fieldplan.report.data.card import card_object
from fieldplan.report.data.json_text import json_text
from fieldplan.report.text.card import card_page
from fieldplan.report.words.notes import warning_lines
from fieldplan.report.words.quantities import Quantities, System
from fieldplan.seed.setup_card import setup_card


@click.command("setup")
@job_option
@mix_option
@units_option
@json_option
def command(job_path: Path, mix_name: str | None, units: System, as_json: bool) -> None:
    """Print the set-up card for a drill and a mix: a box to check for every step, a blank for every reading.

    With a rate chart in the job file ([[drill.chart]]) the card gives the setting to start from. For a PDF, use
    `fieldplan plan --out DIR --write setup`.

    \b
    fieldplan setup --job job.toml
    fieldplan setup --job job.toml --mix prairie
    """
    job = load_job(job_path)
    for line in warning_lines(job.notes, Quantities(units)):
        click.echo(line, err=True)
    card = setup_card(job.drill, job.tractor, mix_named(job, mix_name), job.working.sowings)
    if as_json:
        click.echo(json_text(card_object(card)), nl=False)
    else:
        click.echo(card_page(card, Quantities(units)), nl=False)
