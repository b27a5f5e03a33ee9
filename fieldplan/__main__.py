"""``python -m fieldplan``."""

from fieldplan.cli.main import run

run()
