"""Progress of a job of two mixes that share oats, with a carrier, and with fields half done; by hand.

Field a: 4 ha of mix dry: oats at 10 kg/ha, bluestem at 5 kg/ha with 2.5 kg/ha of hulls. Field b: 6 ha of mix
wet: oats at 20 kg/ha, no bluestem. Field c: 2 ha of mix dry again. An hour a hectare.
"""

from __future__ import annotations

import pytest

from fieldplan.model.budget import BoxBudget, BoxChange, SownComponent
from fieldplan.model.job import BookingTerms
from fieldplan.model.loads import LotAccount
from fieldplan.model.progress import FieldAhead, Outlook, SoFar
from fieldplan.report.text.progress import progress_page
from fieldplan.report.words.quantities import Quantities
from fieldplan.units import HOUR_S
from fieldplan.work.progress import outlook

OATS, BLUESTEM, HULLS = ("oats", "A1"), ("bluestem", "B2"), ("hulls", "")
HA_M2 = 10_000.0


def _box(
    name: str, lot: tuple[str, str], kg_per_ha: float, ha: float, hulls_kg_per_ha: float = 0.0
) -> BoxBudget:
    sown = SownComponent(
        species=lot[0],
        lot=lot[1],
        bulk_kg_per_m2=kg_per_ha / HA_M2,
        pls_kg_per_m2=0.5 * kg_per_ha / HA_M2,
        sown_bulk_kg=kg_per_ha * ha,
        sown_pls_kg=0.5 * kg_per_ha * ha,
    )
    return BoxBudget(
        box=name,
        bulk_kg_per_m2=kg_per_ha / HA_M2,
        volume_m3_per_m2=2e-6,
        working_m3=0.4,
        min_m3=0.1,
        components=(sown,),
        carrier="hulls" if hulls_kg_per_ha else "",
        carrier_kg_per_m2=hulls_kg_per_ha / HA_M2,
        carrier_kg=hulls_kg_per_ha * ha,
    )


def _dry(field_id: str, ha: float, *changes: BoxChange) -> FieldAhead:
    return FieldAhead(
        field_id=field_id,
        drilled_m2=ha * HA_M2,
        field_s=ha * HOUR_S,
        sown_kg={OATS: 10 * ha, BLUESTEM: 5 * ha, HULLS: 2.5 * ha},
        mix="dry",
        boxes=(_box("grain", OATS, 10, ha), _box("native", BLUESTEM, 5, ha, 2.5)),
        changes=changes,
    )


WET = FieldAhead(
    field_id="b",
    drilled_m2=6 * HA_M2,
    field_s=6 * HOUR_S,
    sown_kg={OATS: 120.0},
    mix="wet",
    boxes=(_box("grain", OATS, 20, 6),),
    changes=(BoxChange(box="grain", kind="set again", mix="wet", takes_s=600.0),),
)
BACK = BoxChange(box="grain", kind="set again", mix="dry", takes_s=600.0)
FIELDS = [_dry("a", 4), WET, _dry("c", 2, BACK)]
ORDERED_KG = {OATS: 200.0, BLUESTEM: 50.0, HULLS: 20.0}
ACCOUNTS = [
    LotAccount(
        species=lot[0],
        lot=lot[1],
        ordered_kg=kg,
        brought_kg=kg,
        loaded_kg=kg,
        sown_kg=kg,
        left_kg=0.0,
        swept_kg=0.0,
    )
    for lot, kg in ORDERED_KG.items()
]
TERMS = BookingTerms(day_s=8 * HOUR_S, fieldwork_day_prob=0.5, confidence_prob=0.8)


def _outlook(
    ha: float, gone_kg: dict[tuple[str, str], float], done: frozenset[str] = frozenset()
) -> Outlook:
    left_kg = {lot: ORDERED_KG[lot] - kg for lot, kg in gone_kg.items()}
    so_far = SoFar(metered_m2=ha * HA_M2, worked_s=ha * HOUR_S, left_kg=left_kg, done=done)
    return outlook(so_far, FIELDS, lambda _: 0.0, ACCOUNTS, TERMS, (-95.0, 44.0), None)


def test_a_lot_in_two_mixes_is_expected_at_the_rate_of_each() -> None:
    """7 ha: 4 at 10 kg and 3 at 20 are 100 kg of oats, not 7 times a mean of both; 60 + 20 are still to sow."""
    (oats,) = _outlook(7, {OATS: 100.0}).lots
    assert oats.expected_kg == pytest.approx(100.0)
    assert oats.error_frac == pytest.approx(0.0)
    assert oats.asked_kg == pytest.approx(80.0)


def test_a_carrier_is_followed_like_seed() -> None:
    """2 of 4 ha: 5 kg of hulls expected, 6 gone: a fifth too much, and 10 kg more asked for becomes 12."""
    (hulls,) = _outlook(2, {HULLS: 6.0}).lots
    assert (hulls.expected_kg, hulls.gone_kg) == (pytest.approx(5.0), pytest.approx(6.0))
    assert hulls.error_frac == pytest.approx(0.2)
    assert hulls.asked_kg == pytest.approx(12.0)


def test_a_half_done_field_that_was_sown_out_of_order_counts_by_its_mix() -> None:
    """C is done, then 2 of 4 ha of a: 20 + 20 kg of oats, 10 + 10 of bluestem; b's oats are all to come."""
    oats, bluestem = _outlook(4, {OATS: 40.0, BLUESTEM: 20.0}, frozenset({"c"})).lots
    assert (oats.expected_kg, bluestem.expected_kg) == (pytest.approx(40.0), pytest.approx(20.0))
    assert oats.asked_kg == pytest.approx(20.0 + 120.0)


def test_what_to_change_on_the_field_under_way() -> None:
    """2 ha of a with 11 of 10 kg bluestem and 6 of 5 kg hulls gone: the native box sows 17 / 15; then b."""
    found = _outlook(2, {BLUESTEM: 11.0, HULLS: 6.0})
    now = found.now
    assert now is not None
    assert (now.field_id, now.mix, now.begun, now.changes) == ("a", "dry", True, ())
    grain, native = now.boxes
    assert grain.off_frac is None
    assert native.off_frac == pytest.approx(17 / 15 - 1)
    assert native.real_kg_per_m2 == pytest.approx(7.5e-4 * 17 / 15)
    assert native.mixes == ("dry",)
    assert now.following is WET
    page = " ".join(progress_page(found, Quantities("metric")).split())
    assert "Under way: a, dry." in page
    assert (
        "it sows 8.5 kg/ha, 13 % too heavy: set it back until a catch gives 88 % of what it gives now."
        in page
    )
    assert "Then: b, wet. * grain box: set it for wet and calibrate again." in page


def test_what_to_change_before_the_next_field() -> None:
    """A and b are done: set the grain box back for dry; oats were sown in both mixes, and say what both are off."""
    found = _outlook(10, {OATS: 160.0})
    now = found.now
    assert now is not None
    assert (now.field_id, now.begun, now.changes, now.following) == ("c", False, (BACK,), None)
    assert now.boxes[0].mixes == ("dry", "wet")
    assert now.boxes[0].off_frac == pytest.approx(0.0)
    page = " ".join(progress_page(found, Quantities("metric")).split())
    assert "Next: c, dry. * grain box: set it for dry and calibrate again." in page
    assert "it sows 10.0 kg/ha (over dry, wet together): leave it." in page


def test_when_all_is_sown_nothing_is_left_to_change() -> None:
    """12 ha are done."""
    found = _outlook(12, {OATS: 180.0})
    assert found.now is None
    assert "All is sown" in progress_page(found, Quantities("metric"))


def test_a_box_of_which_nothing_is_gone_sows_nothing() -> None:
    """2 ha are done and all the bluestem is still there."""
    page = " ".join(progress_page(_outlook(2, {BLUESTEM: 0.0}), Quantities("metric")).split())
    assert "native box: 7.5 kg/ha of seed and carrier; nothing of it is gone" in page
