"""Options and arguments that commands share."""

from __future__ import annotations

from pathlib import Path

import click

boundary_argument = click.argument("boundary", metavar="FIELDS", type=click.Path(path_type=Path))
job_option = click.option("--job", "job_path", metavar="JOB.toml", required=True, type=click.Path(path_type=Path),
                          help="The job file: drill, mixes, working and booking terms.")  # fmt: skip
crs_option = click.option("--crs", metavar="CODE", help="What the coordinates are measured in, such as EPSG:32615.")
units_option = click.option("--units", type=click.Choice(["us", "metric"]), default="us", show_default=True,
                            help="Units of the printed page.")  # fmt: skip
json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON object, in SI, instead of the page.")
force_option = click.option("--force", is_flag=True, help="Overwrite files that are there.")
