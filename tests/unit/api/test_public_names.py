"""What ``import fieldplan`` offers, and what it costs."""

from __future__ import annotations

import ast
import importlib.metadata
import subprocess
import sys

import pytest
from conftest import ROOT

import fieldplan


def test_import_loads_no_slow_library() -> None:
    """Not until a name is asked for: help of the command line needs none of them."""
    code = (
        "import sys, fieldplan; dir(fieldplan); fieldplan.__version__; "
        "print([one for one in ('geopandas', 'numpy', 'pandas', 'pyproj', 'shapely') if one in sys.modules])"
    )
    found = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert found.stdout.strip() == "[]"


def test_every_public_name_is_there_and_listed_in_order() -> None:
    """None missing, none twice, none more in a list of completions."""
    assert list(fieldplan.__all__) == sorted(set(fieldplan.__all__))
    assert dir(fieldplan) == list(fieldplan.__all__)
    for name in fieldplan.__all__:
        assert getattr(fieldplan, name) is not None
    with pytest.raises(AttributeError, match="no attribute 'plans'"):
        _ = fieldplan.plans  # type: ignore[attr-defined]


def test_editors_see_what_is_loaded_late() -> None:
    """Names imported for type checkers alone, and their homes, are those that are loaded when asked for."""
    tree = ast.parse((ROOT / "fieldplan" / "__init__.py").read_text(encoding="utf-8"))
    (checked,) = [one for one in tree.body if isinstance(one, ast.If)]
    seen = {
        name.name: one.module
        for one in checked.body
        if isinstance(one, ast.ImportFrom)
        for name in one.names
    }
    assert seen == {name: f"fieldplan.{home}" for name, home in fieldplan._HOME_OF.items()}
    assert {*seen, "__version__"} == set(fieldplan.__all__)


def test_version_is_that_of_the_package() -> None:
    """One truth: the index of packages takes it from the code."""
    assert fieldplan.__version__ == importlib.metadata.version("fieldplan")
