"""The house: imports run one way."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from conftest import ROOT


def test_imports_run_one_way() -> None:
    """The contract of pyproject.toml holds."""
    command = Path(sys.executable).with_name("lint-imports")
    got = subprocess.run([command, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert got.returncode == 0, got.stdout + got.stderr
