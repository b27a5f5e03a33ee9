"""The cheapest mix that meets a target: a linear program over the live seeds of each lot.

With y the live seeds of each lot on a unit of ground, every demand is linear in y: seeds of the whole mix, of a
group or of a species (Σ y), a share f of them (Σ y of the group − f Σ y of all), pure live seed by weight
(y / seeds per kg), seed at hand (y / (PLS × seeds per kg) × ground), money (y × price / (PLS × seeds per kg)). So
the optimum is exact, what each bound costs is its dual value, and a target that cannot be met has a smallest set of
demands that contradict each other, which is found by leaving them out one by one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from fieldplan.errors import MissingExtra, PlanError, Problem, problem
from fieldplan.facts import fact
from fieldplan.model.mix_design import Demand, Design, Limit, Measured, Offer, Sense, Share, Target, said
from fieldplan.model.seed import Mix, Rate
from fieldplan.seed.stand import stand_notes
from fieldplan.units import ACRE_M2, POUND_KG, SQUARE_FOOT_M2

_NOTHING = 1e-9
"""Seeds/ft² that count as none, and how closely a bound is met."""
_EXACT = "primal_feasibility_tolerance: 1e-11 dual_feasibility_tolerance: 1e-11 solution_feasibility_tolerance: 1e-9"


def design(target: Target) -> Design:
    """The mix that meets a target for the least money, or with the most live seeds.

    Without any price the mix of the least bulk weight is taken for the cheapest. Seed at hand costs nothing.

    Parameters
    ----------
    target
        What is asked for, and the lots that it may be made of.

    Raises
    ------
    PlanError
        If no mix meets it: with demands that contradict each other, and how far each would have to give. If
        nothing bounds the aim, or no seed at all is asked for.
    MissingExtra
        If the solver is not installed.
    """
    demands = demands_of(target)
    costs = _per_seed(target)
    found = _solved(target.aim, costs, demands)
    if found is None:
        raise PlanError(_contradiction(target, demands))
    if found.unbounded:
        raise PlanError.of("target-unbounded", target=target.name)
    seeds = found.seeds_per_m2
    shares = _shares(target, seeds)
    if not shares:
        raise PlanError.of("target-asks-nothing", target=target.name)
    cost = float(costs @ seeds) if target.priced else None
    limits = [
        Limit(demand=demand, saves=saves)
        for demand, saves in zip(demands, found.saves, strict=True)
        if _just_met(demand, seeds)
    ]
    mix = Mix(
        name=target.name,
        overage_frac=target.overage_frac,
        components=tuple(
            replace(share.offer.component, rate=Rate(value=share.pls_kg_per_m2, basis="pls"))
            for share in shares
        ),
    )
    return Design(
        target=target,
        mix=mix,
        shares=shares,
        seeds_per_m2=float(seeds.sum()),
        cost_per_m2=cost,
        limits=tuple(sorted(limits, key=lambda limit: -limit.saves * abs(limit.demand.bound))),
        notes=(*stand_notes(mix), *target.notes),
    )


def demands_of(target: Target) -> tuple[Demand, ...]:
    """All that a target asks, as linear demands on the live seeds of its lots, in the order it was given."""
    made = []
    for (measured, about), (least, most) in target.spans.items():
        for sense, bound in (("least", least), ("most", most)):
            if bound is not None:
                made.append(
                    _demand(target, measured, about, "least" if sense == "least" else "most", bound)
                )
    if target.ground_m2 is not None:
        for i, offer in enumerate(target.offers):
            if offer.at_hand_kg is not None:
                ground = target.ground_m2 * (1 + target.overage_frac)
                weights = [0.0] * len(target.offers)
                weights[i] = offer.bulk_kg_per_seed * ground
                made.append(
                    Demand(
                        measured="at hand",
                        sense="most",
                        about=_name(offer),
                        bound=offer.at_hand_kg,
                        weights=tuple(weights),
                        right=offer.at_hand_kg,
                    )
                )
    if target.budget_per_m2 is not None:
        made.append(
            Demand(
                measured="budget",
                sense="most",
                about="",
                bound=target.budget_per_m2,
                weights=tuple(float(cost) for cost in _per_seed(target)),
                right=target.budget_per_m2,
            )
        )
    return tuple(made)


def _demand(target: Target, measured: Measured, about: str, sense: Sense, bound: float) -> Demand:
    of = [about in ("", offer.group, offer.component.species) for offer in target.offers]
    if measured == "pls":
        weights = [
            1 / offer.seeds_per_kg if yes else 0.0 for yes, offer in zip(of, target.offers, strict=True)
        ]
    else:
        weights = [float(yes) - (bound if measured == "share" else 0.0) for yes in of]
    return Demand(
        measured=measured,
        sense=sense,
        about=about,
        bound=bound,
        weights=tuple(weights),
        right=0.0 if measured == "share" else bound,
    )


def _per_seed(target: Target) -> np.ndarray[Any, np.dtype[np.float64]]:
    """What a live seed of each lot costs, in money or, without prices, in kg of bulk seed; nothing at hand."""
    return np.array(
        [
            0.0
            if offer.at_hand_kg is not None and target.priced
            else offer.bulk_kg_per_seed
            * (offer.component.price.per_kg if offer.component.price is not None else 1.0)
            for offer in target.offers
        ]
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Solution:
    """The live seeds of each lot, and what easing each demand by one of its units brings the aim."""

    seeds_per_m2: np.ndarray[Any, np.dtype[np.float64]]
    saves: tuple[float, ...]
    unbounded: bool = False


def _solved(
    aim: str | Sequence[float], costs: np.ndarray[Any, np.dtype[np.float64]], demands: Sequence[Demand]
) -> _Solution | None:
    """The best live seeds of each lot; ``None`` if the demands contradict each other.

    Parameters
    ----------
    aim
        "cheapest", "most seeds", or what a live seed of each lot adds to a sum that is to be as small as possible.

    Notes
    -----
    Seeds are counted on a square foot, rows and the objective are scaled to a largest factor of 1: all numbers that
    the solver sees are then between a hundredth and some hundreds.
    """
    try:
        from ortools.linear_solver import pywraplp
    except ImportError:
        raise MissingExtra.named("season", fact("extra-for/mix")) from None
    solver = pywraplp.Solver.CreateSolver("GLOP")
    solver.SetSolverSpecificParametersAsString(_EXACT)
    objective = (
        costs if aim == "cheapest" else -np.ones(len(costs)) if aim == "most seeds" else np.array(aim)
    )
    size = float(np.abs(objective).max()) or 1.0
    per_ft2 = 1 / SQUARE_FOOT_M2
    seeds = [solver.NumVar(0.0, solver.infinity(), "") for _ in costs]
    rows = []
    for demand in demands:
        scale = max(map(abs, demand.weights), default=0.0) or 1.0
        right = demand.right / scale * SQUARE_FOOT_M2
        low, high = (right, solver.infinity()) if demand.sense == "least" else (-solver.infinity(), right)
        row = solver.RowConstraint(low, high, "")
        for variable, weight in zip(seeds, demand.weights, strict=True):
            row.SetCoefficient(variable, weight / scale)
        rows.append((row, scale))
    for variable, cost in zip(seeds, objective, strict=True):
        solver.Objective().SetCoefficient(variable, float(cost) / size)
    solver.Objective().SetMinimization()
    status = solver.Solve()
    if status == solver.UNBOUNDED:
        return _Solution(seeds_per_m2=np.zeros(len(costs)), saves=(), unbounded=True)
    if status not in (solver.OPTIMAL, solver.FEASIBLE):
        if _is_feasible(demands, objective, solver, aim):
            return _Solution(seeds_per_m2=np.zeros(len(costs)), saves=(), unbounded=True)
        return None
    found = np.array([max(0.0, variable.solution_value()) for variable in seeds]) * per_ft2
    # d objective / d right of a row in its own unit; a share's bound moves its row by all live seeds
    saves = tuple(
        max(0.0, abs(row.dual_value()) * size / scale)
        * (float(found.sum()) if d.measured == "share" else 1.0)
        for (row, scale), d in zip(rows, demands, strict=True)
    )
    return _Solution(seeds_per_m2=found, saves=saves)


def _is_feasible(
    demands: Sequence[Demand], objective: np.ndarray[Any, np.dtype[np.float64]], solver: Any, aim: object
) -> bool:
    """Whether the demands can be met at all, where the solver did not tell that from an aim without bounds."""
    del solver
    if isinstance(aim, tuple) and not any(aim):
        return False
    nothing = tuple(0.0 for _ in objective)
    return _solved(nothing, np.zeros(len(objective)), demands) is not None


def _just_met(demand: Demand, seeds: np.ndarray[Any, np.dtype[np.float64]]) -> bool:
    weights = np.array(demand.weights)
    size = max(abs(demand.right), float(np.abs(weights) @ seeds), 1e-300)
    return abs(float(weights @ seeds) - demand.right) <= 1e-7 * size


def _shares(target: Target, seeds: np.ndarray[Any, np.dtype[np.float64]]) -> tuple[Share, ...]:
    """What the mix takes of each lot, in the order of the target; lots that it leaves out are not among them."""
    taken: dict[tuple[str, str], Share] = {}
    for offer, seeds_per_m2 in zip(target.offers, seeds, strict=True):
        if seeds_per_m2 * SQUARE_FOOT_M2 > _NOTHING:
            lot = (offer.component.species, offer.component.lot)
            part = _part(target, offer, float(seeds_per_m2))
            taken[lot] = _together(taken[lot], part) if lot in taken else part
    return tuple(
        share
        if share.buy_kg is None
        else replace(share, bags=math.ceil(share.buy_kg / share.offer.component.bag_kg - 1e-9))
        for share in taken.values()
    )


def _part(target: Target, offer: Offer, seeds_per_m2: float) -> Share:
    component = offer.component
    pls = seeds_per_m2 / offer.seeds_per_kg
    bulk = pls / component.pls_frac
    cost = None if component.price is None else bulk * component.price.per_kg
    if offer.at_hand_kg is not None and target.priced:
        cost = 0.0
    need = None if target.ground_m2 is None else bulk * target.ground_m2 * (1 + target.overage_frac)
    return Share(
        offer=offer,
        seeds_per_m2=seeds_per_m2,
        pls_kg_per_m2=pls,
        bulk_kg_per_m2=bulk,
        cost_per_m2=cost,
        need_kg=need,
        buy_kg=need if offer.at_hand_kg is None else 0.0,
    )


def _together(one: Share, other: Share) -> Share:
    """What is at hand of a lot and what is bought of it."""

    def both(a: float | None, b: float | None) -> float | None:
        return None if a is None or b is None else a + b

    return replace(
        one,
        seeds_per_m2=one.seeds_per_m2 + other.seeds_per_m2,
        pls_kg_per_m2=one.pls_kg_per_m2 + other.pls_kg_per_m2,
        bulk_kg_per_m2=one.bulk_kg_per_m2 + other.bulk_kg_per_m2,
        cost_per_m2=both(one.cost_per_m2, other.cost_per_m2),
        need_kg=both(one.need_kg, other.need_kg),
        buy_kg=both(one.buy_kg, other.buy_kg),
    )


def _contradiction(target: Target, demands: Sequence[Demand]) -> Problem:
    """The problem of a target that cannot be met: a smallest set of its demands that contradict each other, and how
    far each would have to give for all the others to be met.
    """
    n = len(target.offers)
    nothing, zeros = tuple(0.0 for _ in range(n)), np.zeros(n)
    core = list(demands)
    for demand in reversed(
        demands
    ):  # money and seed at hand are left out first: they are in the way of most
        rest = [other for other in core if other is not demand]
        if _solved(nothing, zeros, rest) is None:
            core = rest
    gives = []
    for demand in core:
        others = [other for other in demands if other is not demand]
        sign = -1.0 if demand.sense == "least" else 1.0
        nearest = _nearest(demand, others, sign, n)
        if nearest is not None and not _asks_nothing(demand, nearest):
            gives.append(said(target, replace(demand, bound=_eased(demand, nearest))))
    return problem(
        "target-contradicts" if gives else "target-contradicts/more",
        target=target.name,
        demands=tuple(said(target, demand) for demand in core),
        gives=tuple(gives),
    )


def _asks_nothing(demand: Demand, bound: float) -> bool:
    """Whether a demand eased so far leaves no seed in the mix."""
    whole = demand.measured == "seeds" and not demand.about
    return whole and bound * SQUARE_FOOT_M2 < 0.1


def _eased(demand: Demand, bound: float) -> float:
    """A bound rounded to the side that can be met, in steps that the words show."""
    step = {
        "seeds": 0.1 / SQUARE_FOOT_M2,
        "share": 0.001,
        "pls": 0.05 * POUND_KG / ACRE_M2,
        "at hand": 0.1 * POUND_KG,
        "budget": 0.01 / ACRE_M2,
    }[demand.measured]
    steps = bound / step
    return step * (math.floor(steps + 1e-9) if demand.sense == "least" else math.ceil(steps - 1e-9))


def _nearest(demand: Demand, others: Sequence[Demand], sign: float, n: int) -> float | None:
    """The bound nearest to that of a demand with which all others can be met; ``None`` if there is none.

    A share is a ratio of two sums. With all seeds scaled to 1 (Charnes and Cooper, 1962) it is linear too, so for a
    share the bound is searched by halving: at each step one linear program tells whether it can be met.
    """
    zeros, nothing = np.zeros(n), tuple(0.0 for _ in range(n))
    if demand.measured != "share":
        found = _solved(tuple(sign * weight for weight in demand.weights), zeros, others)
        if found is None or found.unbounded:
            return None
        return float(np.array(demand.weights) @ found.seeds_per_m2)
    counted = [weight + demand.bound for weight in demand.weights]
    bad, good = demand.bound, 0.0 if demand.sense == "least" else 1.0

    def met(bound: float) -> bool:
        moved = replace(demand, bound=bound, weights=tuple(weight - bound for weight in counted))
        return _solved(nothing, zeros, [*others, moved]) is not None

    if not met(good):
        return None
    for _ in range(30):
        middle = (good + bad) / 2
        good, bad = (middle, bad) if met(middle) else (good, middle)
    return good


def _name(offer: Offer) -> str:
    component = offer.component
    return f"{component.species} ({component.lot})" if component.lot else component.species
