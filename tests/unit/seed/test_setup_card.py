"""The set-up card: what depends on drill, seed and tractor."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldplan.facts import Fact
from fieldplan.model.budget import TreatedSeed
from fieldplan.model.card import Card
from fieldplan.model.job import Job
from fieldplan.model.machine import ChartPoint, Tractor
from fieldplan.model.seed import Component, Mix, Rate
from fieldplan.report.text.card import card_page
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence
from fieldplan.seed.setup_card import setup_card
from fieldplan.tables.columns import CARD_PARTS

LOT = Component(
    species="oats",
    box="grain",
    rate=Rate(value=0.01, basis="bulk"),
    purity_frac=1.0,
    germination_frac=0.9,
    hard_frac=0.0,
    dormant_frac=0.0,
    bulk_kg_per_m3=400,
    bag_kg=25,
)
CHART = tuple(
    ChartPoint(seed="oats", gear_range="low", setting=s, bulk_kg_per_m2=r)
    for s, r in ((20, 0.006), (40, 0.010))
)


def _card(job: Job, *lots: Component, chart: tuple[ChartPoint, ...] = (), **tractor: object) -> Card:
    drill = replace(job.drill, chart=chart)
    mix = Mix(name="m", components=lots or (LOT,), overage_frac=0.0)
    return setup_card(drill, replace(job.tractor, **tractor), mix, 1)  # type: ignore[arg-type]


def _said(card: Card, part: str, system: str = "metric") -> list[str]:
    return [sentence(step.says, Quantities(system)) for step in card.steps if step.part == part]  # type: ignore[arg-type]


def test_steps_stand_in_the_order_of_the_work(job: Job) -> None:
    """Whatever they come from."""
    at = [CARD_PARTS.index(step.part) for step in _card(job).steps]
    assert at == sorted(at)
    assert set(at) == set(range(len(CARD_PARTS)))


@pytest.mark.parametrize(
    ("lots", "chart", "text"),
    [
        (
            (LOT,),
            CHART,
            "grain box: 100.0 kg/ha: range low, setting 40 by the rate chart; it only gets you close",
        ),
        (
            (LOT,),
            (),
            "grain box: 100.0 kg/ha: the job file has no rate chart for it; start from the maker's chart",
        ),
        (
            (replace(LOT, rate=Rate(value=0.02, basis="bulk")),),
            CHART,
            "grain box: 200.0 kg/ha: the rate is outside the rate chart in this gear range; start from the maker's chart",
        ),
        (
            (LOT, replace(LOT, species="rye")),
            CHART,
            "grain box: 200.0 kg/ha of the mix: charts for one seed do not work for a mix, start low and calibrate; a chart of the mix can stand in the job file by its name",
        ),
    ],
)
def test_the_setting_is_what_the_chart_says_or_why_it_says_none(
    job: Job, lots: tuple[Component, ...], chart: tuple[ChartPoint, ...], text: str
) -> None:
    """10 g/m² of oats is at 40."""
    assert _said(_card(job, *lots, chart=chart), "Settings")[1] == text


def test_a_catch_is_over_a_round_way_in_either_units(job: Job) -> None:
    """10 g/m² from a row 0.2 m apart over 30 m is 60 g, from ten rows 600 g."""
    drill = replace(job.drill, row_spacing_m=0.2, rows=10, wheel_circumference_m=3.0)
    card = setup_card(drill, job.tractor, Mix(name="m", components=(LOT,), overage_frac=0.0), 1)
    text = "grain box: catch 60 g a row, 600 g from all 10, over 30 m or 10.0 turns of the drive wheel without slip; do it three times, then set"
    assert any(one.startswith(text) for one in _said(card, "Calibrate"))
    assert any("over 100 ft or 10.2 turns" in one for one in _said(card, "Calibrate", "us"))
    blind = setup_card(
        replace(drill, wheel_circumference_m=None),
        job.tractor,
        Mix(name="m", components=(LOT,), overage_frac=0.0),
        1,
    )
    assert any("over 30 m; do it three times" in one for one in _said(blind, "Calibrate"))


def test_the_tractor_is_what_is_known_of_it(job: Job) -> None:
    """Nothing of what is not."""
    known = Tractor(pto_power_w=56_000.0, remotes=1)
    shown = setup_card(job.drill, known, Mix(name="m", components=(LOT,), overage_frac=0.0), 1).tractor
    assert isinstance(shown, Fact)
    assert sentence(shown, Quantities("metric")).startswith("PTO power 56 kW, 1 pair of rear remotes")
    nothing = _card(job, pto_power_w=None, remotes=0)
    assert sentence(nothing.tractor, Quantities()).startswith("0 pairs of rear remotes")
    assert any(text.startswith("The tractor has no rear remotes") for text in _said(nothing, "Hitch")) == (
        job.drill.min_remotes != 0
    )


def test_idle_boxes_and_treated_seed_are_said(job: Job) -> None:
    """Boxes that get no seed are shut; treated seed brings its cautions."""
    idle = ", ".join(box.name for box in job.drill.boxes if box.name != "grain")
    assert f"Not used: {idle}; keep empty and shut, drive off" in _said(_card(job), "Settings")
    plain, treated = _card(job), _card(job, replace(LOT, treated=True))
    assert len(treated.cautions) > len(plain.cautions)


def test_each_box_says_what_it_holds(job: Job) -> None:
    """Two lots at 10 and 30 kg/ha: a quarter and three quarters; treated seed is marked."""
    rye = replace(LOT, species="rye", lot="7", rate=Rate(value=0.03, basis="bulk"), treated=True)
    assert "grain box holds 25 % oats; 75 % rye (7) TREATED" in _said(_card(job, LOT, rye), "Settings")


def test_a_chart_may_be_of_a_mix_and_of_one_box(job: Job) -> None:
    """The mix is called m; lines for another box are not for this one."""
    chart = tuple(replace(point, seed="M", box="grain", gate="half open") for point in CHART)
    rye = replace(LOT, species="rye")
    half = replace(LOT, rate=Rate(value=0.005, basis="bulk"))
    said = _said(_card(job, half, replace(rye, rate=half.rate), chart=chart), "Settings")
    assert said[1].startswith("grain box: 100.0 kg/ha: range low, setting 40 by the rate chart")
    assert said[2] == "grain box: seed gate half open by the rate chart"
    elsewhere = tuple(replace(point, box="small") for point in chart)
    assert (
        "charts for one seed"
        in _said(_card(job, half, replace(rye, rate=half.rate), chart=elsewhere), "Settings")[1]
    )


def test_a_gate_of_three_steps_is_one_kind_of_drill(job: Job) -> None:
    """Without a chart the rule is common practice and holds for such drills only."""
    (step,) = [step for step in _card(job).steps if step.blank == "gate"]
    assert step.source == "practice"
    assert "only if its seed gate has three steps, as one kind of drill has" in sentence(
        step.says, Quantities()
    )  # type: ignore[arg-type]


def test_nothing_is_said_of_the_road_that_the_job_file_does_not_say(job: Job) -> None:
    """A width on the road that is not given is measured; only a given one makes a wide load."""
    mix = Mix(name="m", components=(LOT,), overage_frac=0.0)
    unknown = setup_card(replace(job.drill, transport_width_m=None), job.tractor, mix, 1)
    narrow, wide = (
        setup_card(replace(job.drill, transport_width_m=width_m), job.tractor, mix, 1)
        for width_m in (2.4, 3.6)
    )
    assert len(unknown.cautions) == len(narrow.cautions) == len(wide.cautions) - 1
    assert [step.blank for step in unknown.steps if step.blank == "width on the road"]
    assert not [step for step in wide.steps if step.blank == "width on the road"]


def test_a_box_says_how_far_it_may_be_filled_and_what_the_job_needs(job: Job) -> None:
    """40 kg of 400 kg/m³ are 100 l; a load that fills the box, or no plan, says one figure."""
    mix = Mix(name="m", components=(LOT,), overage_frac=0.0)
    box = job.drill.box("grain")
    assert box is not None
    line = f"never above {100 * box.usable_frac:.0f} %"
    full_kg = box.volume_m3 * box.usable_frac * 400.0

    def fill(loads: dict[str, float] | None) -> str:
        card = setup_card(job.drill, job.tractor, mix, 1, highest_kg=loads)
        (said,) = [text for text in _said(card, "Fill") if line in text]
        return said

    assert "in it at once than" in fill({"grain": 40.0})
    assert "100 L, 40 kg" in fill({"grain": 40.0})
    assert "at once" not in fill({"grain": full_kg})
    assert "at once" not in fill(None)


def test_where_seed_falls_is_asked_for_unless_it_is_given(job: Job) -> None:
    """It is never taken for granted."""
    boxes = tuple(replace(box, lands="") for box in job.drill.boxes)
    mix = Mix(name="m", components=(LOT,), overage_frac=0.0)
    blind = setup_card(replace(job.drill, boxes=boxes), job.tractor, mix, 1)
    assert [step.blank for step in blind.steps if step.blank == "falls"] == ["falls"]
    given = tuple(replace(box, lands="in the furrow") for box in job.drill.boxes)
    known = setup_card(replace(job.drill, boxes=given), job.tractor, mix, 1)
    assert "grain box: its seed falls in the furrow" in _said(known, "Fill")


def test_treated_seed_of_an_earlier_field_is_on_the_card_of_the_next_mix(job: Job) -> None:
    """With its cautions, though this mix has none."""
    mix = Mix(name="m", components=(LOT,), overage_frac=0.0)
    held = TreatedSeed(box="grain", where="cleaned-out", mix="corn", species=("maize",))
    card = setup_card(job.drill, job.tractor, mix, 1, treated=(held,))
    assert len(card.cautions) > len(_card(job).cautions) - 1
    assert any(
        "TREATED SEED of earlier fields, maize of corn was in the grain box" in text
        for text in _said(card, "Boxes")
    )
    assert any("label and in local rules" in text for text in _said(card, "Boxes"))


def test_the_counter_of_ground_is_called_by_the_readers_units(job: Job) -> None:
    """An acre meter in acres, an area meter in hectares."""
    for system, own, other in (("us", "acre meter", "area meter"), ("metric", "area meter", "acre meter")):
        page = card_page(_card(job), Quantities(system)).casefold()  # type: ignore[arg-type]
        assert page.count(own) == 3  # out, the step, and what is filled in there
        assert other not in page
