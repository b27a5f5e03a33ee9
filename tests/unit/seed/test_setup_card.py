"""The set-up card: what depends on drill, seed and tractor."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldplan.facts import Fact
from fieldplan.model.card import Card
from fieldplan.model.job import Job
from fieldplan.model.machine import ChartPoint, Tractor
from fieldplan.model.seed import Component, Mix, Rate
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
            "grain box: 100.0 kg/ha: the job file has no rate chart for it, start from the maker's",
        ),
        (
            (replace(LOT, rate=Rate(value=0.02, basis="bulk")),),
            CHART,
            "grain box: 200.0 kg/ha: the rate is outside the rate chart in this gear range; start from the maker's chart",
        ),
        (
            (LOT, replace(LOT, species="rye")),
            CHART,
            "grain box: 200.0 kg/ha of the mix: charts for one seed do not work for a mix, start low and calibrate",
        ),
    ],
)
def test_the_setting_is_what_the_chart_says_or_why_it_says_none(
    job: Job, lots: tuple[Component, ...], chart: tuple[ChartPoint, ...], text: str
) -> None:
    """10 g/m² of oats is at 40."""
    assert _said(_card(job, *lots, chart=chart), "Settings")[0] == text


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
