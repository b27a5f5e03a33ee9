"""Mixes designed for targets: against a grid of all mixes, against another solver, and by hand."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from mix_targets import offer, target

from fieldplan.errors import PlanError
from fieldplan.facts import Fact
from fieldplan.model.mix_design import Design, Target
from fieldplan.seed.mix_design import demands_of, design
from fieldplan.units import ACRE_M2, POUND_KG, SQUARE_FOOT_M2

GRASS = offer("big bluestem", 160_000, price=12, group="grasses")
FORB = offer("blanketflower", 186_000, price=30, group="forbs")
LEGUME = offer("purple prairie clover", 290_000, price=45, group="legumes")


def seeds_of(found: Design) -> dict[str, float]:
    """Live seeds/ft² by species and lot."""
    return {
        f"{share.offer.component.species} {share.offer.component.lot}": share.seeds_per_m2 * SQUARE_FOOT_M2
        for share in found.shares
    }


def cost_per_acre(found: Design) -> float:
    """Dollars an acre."""
    assert found.cost_per_m2 is not None
    return found.cost_per_m2 * ACRE_M2


def test_without_other_demands_the_cheapest_seed_is_taken_alone() -> None:
    """Forty seeds of the lot whose seeds are cheapest: 12 $/lb over 160,000 is less than 45 over 290,000."""
    found = design(target(GRASS, FORB, LEGUME, seeds=(40, None)))
    assert seeds_of(found) == {"big bluestem 1": pytest.approx(40)}
    assert cost_per_acre(found) == pytest.approx(40 * 43_560 / 160_000 * 12)


def test_shares_are_of_all_seeds() -> None:
    """A quarter of forbs and a tenth of legumes, by count; the rest is grass."""
    spans = {("share", "forbs"): (0.25, None), ("share", "legumes"): (0.1, None)}
    found = design(target(GRASS, FORB, LEGUME, seeds=(40, 40), spans=spans))
    assert list(seeds_of(found).values()) == pytest.approx([26, 10, 4])


def test_pounds_limit_a_species() -> None:
    """At most two pounds of live big bluestem an acre are 2 × 160,000 / 43,560 seeds."""
    found = design(target(GRASS, FORB, seeds=(40, None), spans={("pls", "big bluestem"): (None, 2)}))
    assert seeds_of(found)["big bluestem 1"] == pytest.approx(2 * 160_000 / 43_560)


def test_seed_at_hand_comes_first_and_more_of_it_is_bought() -> None:
    """Ten pounds at hand, overage included, cost nothing; the rest of the need costs."""
    at_hand = offer("big bluestem", 160_000, price=12, group="grasses", at_hand_lb=10)
    found = design(target(at_hand, GRASS, seeds=(20, 20), acres=4, overage=0.05))
    (share,) = found.shares
    need_lb = 20 * 43_560 / 160_000 * 4 * 1.05
    assert share.need_kg == pytest.approx(need_lb * POUND_KG)
    assert share.buy_kg == pytest.approx((need_lb - 10) * POUND_KG)
    assert cost_per_acre(found) == pytest.approx((need_lb - 10) / 1.05 / 4 * 12)
    assert share.bags == 1


def test_two_lots_are_sown_in_turn_each_at_the_whole_rate() -> None:
    """Where a lot at hand falls short the next goes on, at one rate of live seed."""
    old = offer("big bluestem", 160_000, group="grasses", lot="BB-1", pls=0.5, at_hand_lb=20)
    new = offer("big bluestem", 160_000, price=12, group="grasses", lot="BB-2", pls=0.8)
    found = design(target(old, new, seeds=(20, 20), acres=10))
    ((species, turns),) = found.lots_in_turn()
    assert (species, [share.offer.component.lot for share, _, _ in turns]) == (
        "big bluestem",
        ["BB-1", "BB-2"],
    )
    pls_lb = 20 * 43_560 / 160_000
    rates = [rate * ACRE_M2 / POUND_KG for _, _, rate in turns]
    assert rates == pytest.approx([pls_lb / 0.5, pls_lb / 0.8])
    assert turns[0][1] / ACRE_M2 == pytest.approx(20 * 0.5 / pls_lb)
    assert sum(ground for _, ground, _ in turns) == pytest.approx(10 * ACRE_M2)


def test_a_budget_buys_the_most_seeds() -> None:
    """All money goes into the cheapest seed that the shares allow; a dollar more buys as much as it says."""
    spans = {("share", "forbs"): (0.5, None)}
    found = design(target(GRASS, FORB, spans=spans, budget=100, aim="most seeds"))
    grass, forb = 12 * 43_560 / 160_000, 30 * 43_560 / 186_000
    assert found.seeds_per_m2 * SQUARE_FOOT_M2 == pytest.approx(100 / ((grass + forb) / 2))
    (money,) = [limit for limit in found.limits if limit.demand.measured == "budget"]
    assert money.saves / ACRE_M2 == pytest.approx(2 / (grass + forb) / SQUARE_FOOT_M2, rel=1e-9)


def test_without_prices_the_least_bulk_weight_is_taken() -> None:
    """A chaffy lot is left out for a clean one."""
    chaffy = offer("big bluestem", 160_000, lot="chaffy", pls=0.4)
    clean = offer("big bluestem", 160_000, lot="clean", pls=0.9)
    found = design(target(chaffy, clean, seeds=(20, None)))
    assert list(seeds_of(found)) == ["big bluestem clean"]
    assert found.cost_per_m2 is None


def test_what_a_limit_costs_is_what_easing_it_saves() -> None:
    """The dual of each bound against the cost of the mix with that bound moved by a thousandth."""
    spans = {("share", "forbs"): (0.25, None), ("seeds", "legumes"): (4.0, None)}
    asked = target(GRASS, FORB, LEGUME, seeds=(40, None), spans=spans)
    found = design(asked)
    assert len(found.limits) == 3
    for limit in found.limits:
        key = (limit.demand.measured, limit.demand.about)
        low, _ = asked.spans[key]
        assert low is not None
        step = 1e-3 * low
        eased = Target(
            name="m",
            offers=asked.offers,
            spans={**asked.spans, key: (low - step, None)},
            overage_frac=0.0,
        )
        saved = (found.cost_per_m2 or 0) - (design(eased).cost_per_m2 or 0)
        assert saved / step == pytest.approx(limit.saves, rel=2e-3)


def test_demands_that_contradict_each_other_are_named_and_how_far_each_would_give() -> None:
    """Forty seeds with a quarter of forbs cost more than the budget: all three are named, legumes are not."""
    spans = {("share", "forbs"): (0.25, None), ("seeds", "legumes"): (None, 30)}
    asked = target(GRASS, FORB, LEGUME, seeds=(40, None), spans=spans, budget=150)
    with pytest.raises(PlanError) as caught:
        design(asked)
    (problem,) = caught.value.problems
    named = [fact.code for fact in problem.values["demands"] if isinstance(fact, Fact)]  # type: ignore[union-attr]
    assert named == ["demand/seeds-least-all", "demand/share-least", "demand/budget"]
    needed = 40 * (0.75 * 12 / 160_000 + 0.25 * 30 / 186_000) * 43_560
    assert f"${needed:.2f}" in problem.hint or f"${needed + 0.005:.2f}" in problem.hint


def test_what_is_said_to_give_does() -> None:
    """With the budget raised to what the hint says, the target is met."""
    spans = {("share", "forbs"): (0.25, None)}
    with pytest.raises(PlanError) as caught:
        design(target(GRASS, FORB, seeds=(40, None), spans=spans, budget=100))
    gives = caught.value.problems[0].values["gives"]
    money = next(fact.values["bound"] for fact in gives if fact.code == "demand/budget")  # type: ignore[union-attr]
    found = design(target(GRASS, FORB, seeds=(40, None), spans=spans, budget=float(money.amount)))  # type: ignore[union-attr]
    assert cost_per_acre(found) <= float(money.amount) + 1e-6  # type: ignore[union-attr]


def test_what_can_never_be_met_is_named_before_money() -> None:
    """Nine tenths of grasses and a quarter of forbs are too much, whatever the budget; no one change is enough."""
    spans = {("share", "grasses"): (0.9, None), ("share", "forbs"): (0.25, None)}
    with pytest.raises(PlanError) as caught:
        design(target(GRASS, FORB, seeds=(40, None), spans=spans, budget=20))
    (problem,) = caught.value.problems
    named = [fact.code for fact in problem.values["demands"]]  # type: ignore[union-attr]
    assert named == ["demand/seeds-least-all", "demand/share-least", "demand/share-least"]
    assert (problem.case, problem.values["gives"]) == ("more", ())


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        (target(GRASS), "target-asks-nothing"),
        (target(GRASS, aim="most seeds"), "target-unbounded"),
        (target(GRASS, FORB, seeds=(10, None), aim="most seeds"), "target-unbounded"),
    ],
)
def test_targets_without_an_end_are_refused(asked: Target, code: str) -> None:
    """No seed asked for, or no limit to how much."""
    with pytest.raises(PlanError) as caught:
        design(asked)
    assert caught.value.problems[0].code == code


def _grid_best(asked: Target, step: float, most: float) -> float:
    """The cost in dollars an acre of the cheapest mix on a grid of live seeds/ft² that meets all demands."""
    demands = demands_of(asked)
    axis = np.arange(0, most + step / 2, step) / SQUARE_FOOT_M2
    costs = [o.bulk_kg_per_seed * o.component.price.per_kg for o in asked.offers if o.component.price]
    best = np.inf
    grid = np.array(list(itertools.product(axis, repeat=len(asked.offers))))
    fits = np.ones(len(grid), dtype=bool)
    for demand in demands:
        sums = grid @ np.array(demand.weights)
        slack = 1e-9 * np.abs(grid) @ np.abs(np.array(demand.weights)) + 1e-12
        fits &= sums >= demand.right - slack if demand.sense == "least" else sums <= demand.right + slack
    if fits.any():
        best = float((grid[fits] @ np.array(costs)).min()) * ACRE_M2
    return best


@pytest.mark.parametrize("seed", range(6))
def test_no_mix_on_a_grid_is_cheaper(seed: int) -> None:
    """All mixes of three lots in steps of one seed/ft²: none is cheaper, and the best of them is hardly dearer, since
    the demands are on whole seeds and fifths.
    """
    rng = np.random.default_rng(seed)
    lots = [
        offer(species, float(rng.integers(100, 900)) * 1000, price=float(rng.integers(3, 40)), group=group)
        for species, group in (("a", "grasses"), ("b", "forbs"), ("c", "legumes"))
    ]
    asked = target(
        *lots,
        seeds=(20, None),
        spans={
            ("share", "grasses"): (0.2, 0.6),
            ("seeds", "forbs"): (float(rng.integers(0, 6)), None),
            ("seeds", "c"): (None, float(rng.integers(8, 14))),
        },
    )
    exact = cost_per_acre(design(asked))
    grid = _grid_best(asked, 1.0, 24.0)
    assert exact <= grid * (1 + 1e-9)
    assert grid <= exact * (1 + 1e-9)


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_another_solver_finds_the_same_cost(data: st.DataObject) -> None:
    """HiGHS, called through scipy, agrees on the cost, and on what cannot be met."""
    from scipy.optimize import linprog

    n = data.draw(st.integers(1, 5))
    number = st.floats(0.05, 1.0)
    lots = [
        offer(
            f"s{i}",
            data.draw(st.integers(20, 3000)) * 1000,
            price=data.draw(st.integers(1, 90)),
            group="ab"[i % 2],
            pls=data.draw(number),
        )
        for i in range(n)
    ]
    low = data.draw(st.integers(1, 60))
    spans = {
        ("share", "a"): (
            data.draw(st.sampled_from([None, 0.1, 0.4])),
            data.draw(st.sampled_from([None, 0.7])),
        ),
        ("seeds", "s0"): (None, float(data.draw(st.integers(1, 40)))),
    }
    asked = target(
        *lots, seeds=(float(low), None), spans=spans, budget=float(data.draw(st.integers(5, 400)))
    )
    demands = demands_of(asked)
    costs = np.array(
        [o.bulk_kg_per_seed * o.component.price.per_kg for o in asked.offers if o.component.price]
    )
    signs = [-1.0 if demand.sense == "least" else 1.0 for demand in demands]
    # a seed on a square foot and a dollar an acre as units, so that no row is lost in the solver's tolerance
    rows = np.array(
        [sign * np.array(d.weights) / SQUARE_FOOT_M2 for sign, d in zip(signs, demands, strict=True)]
    )
    right = np.array([sign * d.right for sign, d in zip(signs, demands, strict=True)])
    size = np.abs(rows).max(axis=1)
    other = linprog(costs / SQUARE_FOOT_M2 * ACRE_M2, A_ub=rows / size[:, None], b_ub=right / size)
    try:
        found = design(asked)
    except PlanError:
        assert other.status == 2 or not other.success
        return
    assert other.status == 0
    assert cost_per_acre(found) == pytest.approx(other.fun, rel=1e-6, abs=1e-6)
    for demand in demands:
        total = sum(
            w * next((s.seeds_per_m2 for s in found.shares if s.offer is o), 0.0)
            for w, o in zip(demand.weights, asked.offers, strict=True)
        )
        slack = 1e-7 * max(1.0, abs(demand.right))
        assert total >= demand.right - slack if demand.sense == "least" else total <= demand.right + slack
