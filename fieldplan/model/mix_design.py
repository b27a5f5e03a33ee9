"""What a mix is to be, the lots that it could be made of, and the mix that was found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from fieldplan.facts import Fact, Measure, Money, case_of, fact
from fieldplan.model.checks import require
from fieldplan.model.notes import Note
from fieldplan.model.seed import Component, Mix
from fieldplan.units import ACRE_M2

Aim = Literal["cheapest", "most seeds"]
Measured = Literal["seeds", "share", "pls", "at hand", "budget"]
"""What a demand is on: live seeds, their share of all live seeds, pure live seed by weight, the seed of a lot at
hand, or money.
"""
Sense = Literal["least", "most"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A lot that the mix may use. One that is at hand and can be bought too is two offers.

    Parameters
    ----------
    component
        The lot and its tag, with the rate of one live seed on a square foot.
    group
        Such as grasses, forbs or legumes; empty if not given.
    at_hand_kg
        Bulk seed of it at hand, for which nothing is to be paid; ``None`` if it is to be bought.
    """

    component: Component
    group: str = ""
    at_hand_kg: float | None = None

    @property
    def seeds_per_kg(self) -> float:
        """Live seeds in a kilogram of pure live seed."""
        assert self.component.seeds_per_kg is not None  # without it the lot is refused when read
        return self.component.seeds_per_kg

    @property
    def bulk_kg_per_seed(self) -> float:
        """Bulk seed that holds one live seed: 1 / (PLS share × seeds per kg)."""
        return 1 / (self.component.pls_frac * self.seeds_per_kg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """One thing asked of a mix: Σ weight × live seeds of each lot is at least, or at most, a bound.

    Parameters
    ----------
    measured, sense
        What it is on, and which way.
    about
        The group, species or lot that it is on; empty for the whole mix.
    bound
        As given: live seeds/m², a share of them from 0 to 1, kg/m² of pure live seed, kg at hand, or money/m².
    weights
        For each offer, what one of its live seeds counts.
    right
        The bound in the unit of these sums; 0 for a share.
    """

    measured: Measured
    sense: Sense
    about: str
    bound: float
    weights: tuple[float, ...]
    right: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What a mix is to be.

    Parameters
    ----------
    spans
        Least and most, either ``None`` where not asked, by what they are on: ``("seeds", "")`` for the whole mix,
        ``("share", "forbs")`` for a group or a species.
    ground_m2
        Ground to sow; without it lots at hand have no limit and no bags are counted.
    budget_per_m2
        Most that bought seed may cost on a square meter.
    """

    name: str
    offers: tuple[Offer, ...]
    spans: Mapping[tuple[Measured, str], tuple[float | None, float | None]]
    overage_frac: float
    aim: Aim = "cheapest"
    ground_m2: float | None = None
    budget_per_m2: float | None = None
    currency: str = ""
    notes: tuple[Note, ...] = ()

    def __post_init__(self) -> None:
        """Check that there are lots, and something to aim at."""
        require(len(self.offers) > 0, "target-empty", target=self.name)
        lots = [
            (offer.component.species, offer.component.lot, offer.at_hand_kg is None)
            for offer in self.offers
        ]
        for species, lot, bought in lots:
            once = lots.count((species, lot, bought)) == 1
            require(once, "lot-twice-in-mix", mix=self.name, species=species, lot=lot)

    @property
    def priced(self) -> bool:
        """Whether prices are given, so that the cheapest mix is told by money and not by weight."""
        return any(offer.component.price is not None for offer in self.offers)


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What the mix found takes of one lot, at hand and bought together.

    Parameters
    ----------
    cost_per_m2
        What its seed costs; 0 for seed at hand, ``None`` without a price.
    need_kg, buy_kg, bags
        On the ground to sow, overage included: bulk seed, what of it must be bought, and the whole bags of that;
        ``None`` where no ground is given.
    """

    offer: Offer
    seeds_per_m2: float
    pls_kg_per_m2: float
    bulk_kg_per_m2: float
    cost_per_m2: float | None
    need_kg: float | None = None
    buy_kg: float | None = None
    bags: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A demand that the mix found just meets.

    Parameters
    ----------
    saves
        What the aim would gain by easing the bound by one of its own units: money, kg of bulk seed, or live seeds
        on a square meter; 0 if it gains nothing.
    """

    demand: Demand
    saves: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """The mix found for a target.

    Parameters
    ----------
    shares
        Lots of the mix in the order of the target; those it leaves out are not among them.
    cost_per_m2
        ``None`` if no lot has a price.
    limits
        Demands that it just meets, those that cost most first.
    """

    target: Target
    mix: Mix
    shares: tuple[Share, ...]
    seeds_per_m2: float
    cost_per_m2: float | None
    limits: tuple[Limit, ...]
    notes: tuple[Note, ...] = ()

    def lots_in_turn(self) -> tuple[tuple[str, tuple[tuple[Share, float, float], ...]], ...]:
        """For each species of several lots: the lots, each with its ground and its bulk rate there if it is sown by
        itself.

        Every lot then sows all of the species' live seeds on its part of the ground; seed at hand comes first. Empty
        without ground.
        """
        ground = self.target.ground_m2
        species: dict[str, list[Share]] = {}
        for share in self.shares:
            species.setdefault(share.offer.component.species, []).append(share)
        if ground is None:
            return ()
        turns = []
        for name, shares in species.items():
            whole = sum(share.seeds_per_m2 for share in shares)
            if len(shares) > 1:
                in_order = sorted(shares, key=lambda share: (share.buy_kg or 0.0) > 0)
                turns.append(
                    (
                        name,
                        tuple(
                            (
                                share,
                                ground * share.seeds_per_m2 / whole,
                                share.bulk_kg_per_m2 * whole / share.seeds_per_m2,
                            )
                            for share in in_order
                        ),
                    )
                )
        return tuple(turns)


_ENDINGS: dict[Measured, str] = {"seeds": "_seeds_per_m2", "pls": "_kg_per_m2"}
_CASES: dict[tuple[Measured, Sense], tuple[str, str]] = {
    ("seeds", "least"): ("seeds-least-all", "seeds-least-part"),
    ("seeds", "most"): ("seeds-most-all", "seeds-most-part"),
    ("share", "least"): ("share-least", "share-least"),
    ("share", "most"): ("share-most", "share-most"),
    ("pls", "least"): ("pls-least-part", "pls-least-part"),
    ("pls", "most"): ("pls-most-part", "pls-most-part"),
}
"""How a demand is said: of the whole mix, and of a part of it."""


def said(target: Target, demand: Demand) -> Fact:
    """A demand as a fact, to stand in a sentence."""
    if demand.measured == "budget":
        return fact("demand/budget", bound=Money(demand.bound * ACRE_M2, target.currency))
    if demand.measured == "at hand":
        return fact("demand/at-hand", about=demand.about, bound_kg=demand.bound)
    case = _CASES[demand.measured, demand.sense][bool(demand.about)]
    if demand.measured == "share":
        return case_of("demand", case, about=demand.about, bound_frac=demand.bound)
    bound = Measure(demand.bound, _ENDINGS[demand.measured])
    return case_of("demand", case, about=demand.about, bound=bound)
