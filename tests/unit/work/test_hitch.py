"""A hitch by the names that people give it, and what is no hitch."""

from __future__ import annotations

import pytest

from fieldplan.errors import InputError
from fieldplan.jobfile.hitch import hitch
from fieldplan.model.cost import OWN_NEED
from fieldplan.model.machine import Hitch
from fieldplan.work.tractor import _hitch

DRAWBAR, THREE_POINT = Hitch(kind="drawbar"), Hitch(kind="three-point")


@pytest.mark.parametrize(
    ("text", "kind", "category"),
    [
        ("drawbar", "drawbar", None),
        ("drawbar, category 2", "drawbar", 2),
        ("Drawbar pin", "drawbar", None),
        ("draw bar cat. 1", "drawbar", 1),
        ("pull-type", "drawbar", None),
        ("three-point category 2", "three-point", 2),
        ("Three-point hitch, category II", "three-point", 2),
        ("3-pt cat 1", "three-point", 1),
        ("3 point", "three-point", None),
        ("cat 3 three point linkage", "three-point", 3),
        ("rear three-point hitch category 0", "three-point", 0),
        ("2 in ball", "ball", None),
        ("2-5/16 in ball hitch", "ball", None),
    ],
)
def test_trade_words_are_read(text: str, kind: str, category: int | None) -> None:
    """Kind and category, however they are spelled; the forms of older job files as well."""
    found = hitch(text)
    assert (found.kind, found.category) == (kind, category)
    assert hitch(str(found)) == found


@pytest.mark.parametrize(
    ("value", "hint"),
    [
        ("bananas", '"three-point category 2"'),
        ("drawbra", 'did you mean "drawbar"?'),
        ("three-pint", 'did you mean "three-point"?'),
        (2, '"drawbar"'),
        ("category 2", '"drawbar category 2"'),
        ("three-point category 9", '"three-point category 3"'),
        ("", '"drawbar"'),
        ("drawbar category 1/2", '"drawbar category 2"'),
    ],
)
def test_what_is_no_hitch_is_refused_with_the_right_forms(value: object, hint: str) -> None:
    """Nothing is taken for a hitch by guess."""
    with pytest.raises(InputError) as refused:
        hitch(value)
    assert hint in refused.value.problems[0].hint


@pytest.mark.parametrize(
    ("need", "have", "verdict"),
    [
        (None, None, "ask"),
        (None, DRAWBAR, "pass"),
        (None, THREE_POINT, "fail"),
        (None, Hitch(kind="ball"), "fail"),
        (DRAWBAR, THREE_POINT, "fail"),
        (THREE_POINT, DRAWBAR, "fail"),
        (THREE_POINT, THREE_POINT, "pass"),
        (hitch("three-point cat 2"), hitch("three-point cat 2"), "pass"),
        (hitch("three-point cat 2"), hitch("three-point cat 1"), "fail"),
        (hitch("three-point cat 2"), hitch("three-point cat 3"), "warn"),
        (hitch("three-point cat 2"), THREE_POINT, "ask"),
        (hitch("three-point cat 2"), None, "ask"),
    ],
)
def test_kind_counts_before_category(need: Hitch | None, have: Hitch | None, verdict: str) -> None:
    """Another kind fails, smaller pins fail, larger ones warn; what is not said is asked. The drill's own
    requirement is named.
    """
    check = _hitch(need, have)
    assert check.verdict == verdict
    assert (check.source == OWN_NEED) == (need is not None)
