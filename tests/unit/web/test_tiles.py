"""The address of map tiles is a setting; what is none is refused."""

from __future__ import annotations

import pytest

from fieldplan.errors import UsageError
from fieldplan.web.tiles import NATIONAL_MAP, Tiles


def test_the_server_that_a_policy_names() -> None:
    """Scheme, host and port, and nothing of the path."""
    assert NATIONAL_MAP.origin == "https://basemap.nationalmap.gov"
    assert Tiles(address="http://10.0.0.2:8080/t/{z}/{x}/{y}.png").origin == "http://10.0.0.2:8080"


@pytest.mark.parametrize(
    "address",
    ["", "https://tiles.example/{z}/{x}.png", "file:///etc/{z}{x}{y}", "//tiles.example/{z}/{x}/{y}", "javascript:{z}{x}{y}"],
)  # fmt: skip
def test_no_address_of_tiles(address: str) -> None:
    """Without the three numbers, or of another scheme."""
    with pytest.raises(UsageError) as refused:
        Tiles(address=address)
    assert refused.value.problems[0].code == "tiles-address"
