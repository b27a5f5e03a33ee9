"""How thick a stand a mix sows in all, and shares of a full stand that add up."""

from __future__ import annotations

from dataclasses import replace

import pytest
from mix_targets import offer

from fieldplan.model.seed import Mix, Rate
from fieldplan.seed.stand import stand_notes, stand_of
from fieldplan.units import ACRE_M2, POUND_KG, SQUARE_FOOT_M2

LOT = offer("big bluestem", 150_000).component


def mix(*shares: float) -> Mix:
    """Lots at shares of a full stand of seven pounds an acre."""
    return Mix(
        name="m",
        overage_frac=0.0,
        components=tuple(
            replace(
                LOT,
                lot=str(i),
                rate=Rate(value=share, basis="stand"),
                full_rate_kg_per_m2=7 * POUND_KG / ACRE_M2,
            )
            for i, share in enumerate(shares)
        ),
    )


@pytest.mark.parametrize(
    ("shares", "says", "warns"),
    [
        ((0.6, 0.7), "add up to 60 % + 70 % = 130 %, more than one stand", True),
        ((0.6, 0.4), "add up to 60 % + 40 % = 100 %.", False),
        ((0.25,), "add up to 25 % = 25 %.", False),
    ],
)
def test_shares_of_a_stand_are_summed(shares: tuple[float, ...], says: str, warns: bool) -> None:
    """60 and 70 % are said to be more than one."""
    (note,) = [note for note in stand_notes(mix(*shares)) if note.code == "stand-shares"]
    assert says in note.text
    assert note.warning == warns


def test_live_seeds_are_those_of_all_lots_of_known_size() -> None:
    """Rate × seeds per pound / 43,560 ft²; a species without a count is named and not guessed."""
    stand = stand_of(mix(0.5, 0.5))
    assert stand.seeds_per_m2 * SQUARE_FOOT_M2 == pytest.approx(7 * 150_000 / 43_560)
    strange = replace(LOT, species="nothing known", seeds_per_kg=None, rate=Rate(value=0.001, basis="pls"))
    both = replace(mix(0.5), components=(*mix(0.5).components, strange))
    assert stand_of(both).unsized == ("nothing known",)
    (note,) = [note for note in stand_notes(both) if note.code == "stand-seeds"]
    assert "without nothing known" in note.text
    assert "two conventions, about 20 seeds/ft2" in note.text
