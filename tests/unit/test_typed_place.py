"""Places as people type them: the forms of ISO 6709:2008, annexes D and H, and what is written instead of them."""

from __future__ import annotations

import pytest
from conftest import SAMPLES
from hypothesis import given
from hypothesis import strategies as st

from fieldplan.cli.main import exit_code
from fieldplan.typed_place import place_in

D, M, S = 1.0, 1 / 60, 1 / 3600

ANNEX_H = [
    ("+40-075/", 40.0, -75.0),
    ("+40.20361-075.00417/", 40.20361, -75.00417),
    ("+4012-07500/", 40 + 12 * M, -75.0),
    ("+4012.22-07500.25/", 40 + 12.22 * M, -(75 + 0.25 * M)),
    ("+401213-0750015/", 40 + 12 * M + 13 * S, -(75 + 15 * S)),
    ("+401213.1-0750015.1/", 40 + 12 * M + 13.1 * S, -(75 + 15.1 * S)),
    ("+27.5916+086.5640+8850CRSWGS_84/", 27.5916, 86.5640),
    ("-90+000+2800CRSWGS_84/", -90.0, 0.0),
]
"""ISO 6709:2008, annex H: degrees; degrees and minutes; degrees, minutes and seconds; with a height and a system."""
ANNEX_D = [
    ("50°03′46.461″N 125°48′26.533″E", 50 + 3 * M + 46.461 * S, 125 + 48 * M + 26.533 * S),
    ("50°03'46.461\"S 125°48'26.533\"W", -(50 + 3 * M + 46.461 * S), -(125 + 48 * M + 26.533 * S)),
    ("50°03'46,461\"N 125°48'26,533\"E", 50 + 3 * M + 46.461 * S, 125 + 48 * M + 26.533 * S),
]
"""ISO 6709:2008, annex D, and corrigendum 1 of 2009: signs of the units, the letter behind; with a decimal comma too."""
USUAL = [
    ("44.25,-95.75", 44.25, -95.75),
    ("44.25, -95.75", 44.25, -95.75),
    ("44.25 -95.75", 44.25, -95.75),
    ("44.2 N 95.7 W", 44.2, -95.7),
    ("N 44.2 W 95.7", 44.2, -95.7),
    ("N44.2, W95.7", 44.2, -95.7),
    ("95.7 W, 44.2 N", 44.2, -95.7),
    ("44 12.5 N 95 42.3 W", 44 + 12.5 * M, -(95 + 42.3 * M)),
    ("44° 12.5' n, 95° 42.3' w", 44 + 12.5 * M, -(95 + 42.3 * M)),
    ("44 12 30 N; 95 42 18 W", 44 + 12 * M + 30 * S, -(95 + 42 * M + 18 * S)),
    ("44:12:30 -95:42:18", 44 + 12 * M + 30 * S, -(95 + 42 * M + 18 * S)),
    ("44,25; -95,75", 44.25, -95.75),
    ("44,25 -95,75", 44.25, -95.75),
    ("44,2 N, 95,7 W", 44.2, -95.7),
    ("55,648° north 8,916° east", 55.648, 8.916),
    ("−33.5, 18.5", -33.5, 18.5),
]


@pytest.mark.parametrize(("text", "lat", "lon"), [*ANNEX_H, *ANNEX_D, *USUAL])
def test_a_place_is_read_as_it_is_written(text: str, lat: float, lon: float) -> None:
    """Longitude and latitude in degrees, to the last digit that was typed."""
    assert place_in(text) == (pytest.approx(lon, abs=1e-9), pytest.approx(lat, abs=1e-9))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "44.25",
        "ninety, ten",
        "95.75W,44.25",  # a letter for one of them only
        "44.2 N 95.7 N",
        "-44.2 N 95.7 W",  # a sign and a letter
        "N 44.2 N, W 95.7",
        "44 60 N 95 10 W",  # 60 minutes
        "44.5 10 N 95 10 W",  # decimals before minutes
        "95.75, -44.25, 3",
        "44 12 95 42",
        "91, 10",
        "95.75 W 95.25 N",
        "+4012.22-0750.25/",  # minutes of one digit
        "+4060-07500/",
        "nan,nan",
    ],
)
def test_what_is_no_place_or_two_is_not_guessed(text: str) -> None:
    """Off the Earth, with a letter for one alone, or parted in two ways."""
    assert place_in(text) is None


@given(st.floats(-90, 90), st.floats(-180, 180))
def test_every_place_is_read_again_in_every_form(lat: float, lon: float) -> None:
    """What is written to a millionth of a degree, by signs or letters, with points or commas, in any order."""
    ns, ew = "S" if lat < 0 else "N", "W" if lon < 0 else "E"
    a, b = f"{abs(lat):.6f}", f"{abs(lon):.6f}"
    expected = (pytest.approx(lon, abs=1e-6), pytest.approx(lat, abs=1e-6))
    for text in (
        f"{lat:.6f},{lon:.6f}",
        f"{a}{ns} {b}{ew}",
        f"{ew}{b} {ns}{a}",
        f"{a} {ns}; {b} {ew}".replace(".", ","),
        f"{lat:+010.6f}{lon:+011.6f}/",
    ):
        assert place_in(text) == expected


def test_near_takes_a_place_with_letters(capsys: pytest.CaptureFixture[str]) -> None:
    """Fields near it are not questioned; those of another continent are."""
    farm = str(SAMPLES / "farm.geojson")
    for near, fine in (("44.6 N 95.7 W", True), ("44.6 N 95.7 E", False)):
        assert (exit_code(["check", farm, "--near", near]) == 0) == fine
        assert ("from the place you gave" in capsys.readouterr().out) != fine
