"""How golden pages are written anew: ``pytest tests/golden --rewrite``."""

from __future__ import annotations

import pytest
from golden.bench import Bench
from golden.inputs import lay_out


def pytest_addoption(parser: pytest.Parser) -> None:
    """The option that writes pages instead of comparing them."""
    parser.addoption(
        "--rewrite", action="store_true", help="Write golden pages anew; review them with git diff."
    )


@pytest.fixture(scope="session")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """The samples and what else the pages are about."""
    made = Bench.with_samples(tmp_path_factory.mktemp("bench"))
    lay_out(made.folder)
    return made
