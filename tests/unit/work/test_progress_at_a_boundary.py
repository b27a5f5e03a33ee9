"""How a job goes where one field is just done and the next gets other seed: a bit on the meter says nothing
of it.
"""

from __future__ import annotations

import pytest

from fieldplan.model.budget import OrderLine
from fieldplan.model.job import BookingTerms
from fieldplan.model.progress import FieldAhead, LotPace, SoFar
from fieldplan.report.text.progress import progress_page
from fieldplan.report.words.quantities import Quantities
from fieldplan.units import ACRE_M2, HOUR_S
from fieldplan.work.progress import outlook

RYE, CLOVER = ("rye", ""), ("clover", "")
FIELDS = [
    FieldAhead(field_id=name, drilled_m2=30 * ACRE_M2, field_s=7 * HOUR_S, sown_kg={lot: kg})
    for name, lot, kg in (("a", RYE, 2400.0), ("b", CLOVER, 150.0))
]
ORDER = [
    OrderLine(
        species=lot[0],
        lot="",
        sown_kg=kg,
        need_kg=kg,
        residual_kg=0.0,
        bag_kg=25.0,
        bags=int(kg / 25 + 2),
        pls_frac=0.9,
    )
    for lot, kg in ((RYE, 2400.0), (CLOVER, 150.0))
]


def _lots(metered_ac: float, rye_gone: float, clover_gone: float) -> tuple[dict[str, LotPace], str]:
    gone = {RYE: rye_gone, CLOVER: clover_gone}
    left = {(line.species, line.lot): line.ordered_kg - gone[line.species, line.lot] for line in ORDER}
    terms = BookingTerms(day_s=8 * HOUR_S, fieldwork_day_prob=0.5, confidence_prob=0.8)
    so_far = SoFar(metered_m2=metered_ac * ACRE_M2, worked_s=7 * HOUR_S, left_kg=left)
    found = outlook(so_far, FIELDS, lambda _: 0.0, ORDER, terms, (-95.0, 44.0), None)
    return {lot.species: lot for lot in found.lots}, " ".join(progress_page(found, Quantities()).split())


@pytest.mark.parametrize("metered_ac", [30.04, 30.3, 31.0])
def test_seed_of_the_next_field_is_not_off_before_it_is_begun(metered_ac: float) -> None:
    """The first field is done as planned and the meter shows a bit more: nothing is off, and the next field
    still takes all its seed.
    """
    lots, page = _lots(metered_ac, 2400.0, 0.0)
    assert (lots["clover"].begun, lots["clover"].error_frac) == (False, 0.0)
    assert lots["clover"].asked_kg == 150.0
    assert lots["rye"].error_frac == pytest.approx(0, abs=1e-9)
    assert "too early to tell" in page
    assert "calibrate" not in page
    assert "--done FIELD" in page
    assert "Used, but not yet due" not in page


def test_a_field_that_is_begun_is_judged() -> None:
    """A fifth of the next field sown half as heavy again is said."""
    lots, page = _lots(36.0, 2400.0, 45.0)
    assert lots["clover"].error_frac == pytest.approx(0.5)
    assert "calibrate before you go on" in page
