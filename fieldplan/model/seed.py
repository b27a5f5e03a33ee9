"""A seed mix as its tags describe it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date
from typing import Literal

from fieldplan.model.checks import MASS_RATES_KG_PER_M2, require, require_between
from fieldplan.units import POUND_KG, SQUARE_FOOT_M2, Kind

TAG_ROUNDING_FRAC = 0.0011
"""How far the parts of a tag may miss 100 %: each is rounded to a tenth or a hundredth of a percent."""
MIN_LIVE_FRAC = 0.001
RateBasis = Literal["pls", "bulk", "live seeds", "stand"]
Viability = Literal["germination", "germination and TZ", "TZ"]
MAX_VOLUME_M3_PER_M2 = 1e-3
WEIGHTS_KG_PER_M3 = (5.0, 2000.0)
"""Lightest and heaviest contents of a box, by volume."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RateForm:
    """A form in which a rate can be given.

    Parameters
    ----------
    kind
        The kind of quantity that its amount is.
    ending
        Ending of the amount's name in SI.
    limits
        Smallest and largest amount, in SI.
    example
        A rate of this form as people write it.
    """

    name: RateBasis
    kind: Kind
    ending: str
    limits: tuple[float, float]
    example: str


RATE_FORMS = (
    RateForm(
        name="pls",
        kind="mass rate",
        ending="_typed_kg_per_m2",
        limits=MASS_RATES_KG_PER_M2,
        example='"3.4 lb/ac PLS"',
    ),
    RateForm(
        name="bulk",
        kind="mass rate",
        ending="_typed_kg_per_m2",
        limits=MASS_RATES_KG_PER_M2,
        example='"90 lb/ac bulk"',
    ),
    RateForm(
        name="live seeds",
        kind="count rate",
        ending="_typed_seeds_per_m2",
        limits=(0.001 / SQUARE_FOOT_M2, 9000 / SQUARE_FOOT_M2),
        example='"12 seeds/ft2"',
    ),
    RateForm(
        name="stand", kind="share", ending="_typed_frac", limits=(1e-4, 5.0), example='"25 % of stand"'
    ),
)
_FORMS = {form.name: form for form in RATE_FORMS}


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """A seeding rate.

    ``value`` is in kg/m² (pls, bulk), in pure live seeds per m² (live seeds), or a fraction of the full
    seeding rate (stand).
    """

    value: float
    basis: RateBasis

    def __post_init__(self) -> None:
        """Check that a drill could sow this rate."""
        require_between("rate", self.value, *self.form.limits, self.form.ending, example=self.form.example)

    @property
    def form(self) -> RateForm:
        """The form in which the rate is given."""
        return _FORMS[self.basis]


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrier:
    """Inert material, such as rice hulls, mixed with seed so that a box has enough volume to meter.

    ``volume_m3_per_m2`` is the volume of seed and carrier to reach; ``None`` means the least that the box
    can meter.
    """

    name: str
    bulk_kg_per_m3: float
    volume_m3_per_m2: float | None = None

    def __post_init__(self) -> None:
        """Check ranges."""
        require_between(
            "carrier",
            self.bulk_kg_per_m3,
            *WEIGHTS_KG_PER_M3,
            "_kg_per_m3",
            part="weight",
            example='"9 lb/bu"',
        )
        if self.volume_m3_per_m2 is not None:
            require_between(
                "carrier",
                self.volume_m3_per_m2,
                0,
                MAX_VOLUME_M3_PER_M2,
                "_m3_per_m2",
                part="volume",
                example='"2 bu/ac"',
                above_low=True,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """Price per kilogram of bulk seed. The currency is only printed, never converted."""

    per_kg: float
    currency: str

    def __post_init__(self) -> None:
        """Check range."""
        require_between("price", self.per_kg, 0, 1e7, "", example='"$5.20/lb"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One seed lot of a mix: its rate, its box and what its tag says.

    Parameters
    ----------
    inert_frac, other_crop_frac, weed_frac
        The rest of the tag, if given. With purity they make up the whole bag.
    coating_frac
        Coating, a part of the inert share.
    full_rate_kg_per_m2
        Full seeding rate in pure live seed, if the rate is a share of it.
    meant
        Keys of unlikely figures that the job file confirms.
    unlikely
        Keys of unlikely figures that it does not confirm.
    variety, form
        The variety or type, and the form of the seed, such as burs or caryopses, as the tag names them.
    seeds_per_kg_range
        Lowest and highest published count, where ``seeds_per_kg`` is that of the table.
    tz_frac, tz_tested
        Viable share by a tetrazolium test, and its date.
    origin, noxious
        Where the seed was grown, and the lines on noxious weeds; empty if the file does not say.
    treated
        Whether the seed is treated; ``None`` if the file does not say, which counts as not treated, and is asked.
    unsaid
        Keys of shares of the tag that the file leaves to their defaults.
    """

    species: str
    box: str
    rate: Rate
    purity_frac: float
    germination_frac: float
    hard_frac: float
    dormant_frac: float
    bulk_kg_per_m3: float
    bag_kg: float
    lot: str = ""
    seeds_per_kg: float | None = None
    full_rate_kg_per_m2: float | None = None
    coating_frac: float = 0.0
    inert_frac: float | None = None
    other_crop_frac: float | None = None
    weed_frac: float | None = None
    price: Price | None = None
    tested: date | None = None
    treated: bool | None = None
    carrier: Carrier | None = None
    meant: frozenset[str] = frozenset()
    unlikely: tuple[str, ...] = ()
    variety: str = ""
    form: str = ""
    seeds_per_kg_range: tuple[float, float] | None = None
    tz_frac: float | None = None
    tz_tested: date | None = None
    origin: str = ""
    noxious: tuple[str, ...] = ()
    unsaid: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        """Check ranges, and that the parts of the tag add up."""
        shares = (
            "purity",
            "germination",
            "hard",
            "dormant",
            "coating",
            "inert",
            "other_crop",
            "weed",
            "tz",
        )
        for name in shares:
            share = getattr(self, f"{name}_frac")
            if share is not None:
                require_between(
                    "weed_seed" if name == "weed" else name, share, 0, 1, "_typed_frac", example='"85 %"'
                )
        if self.seeds_per_kg is not None:
            require_between(
                "seeds_per_pound",
                self.seeds_per_kg,
                10 / POUND_KG,
                2e7 / POUND_KG,
                "_seeds_per_kg",
                example="255000",
            )
        require(self.germination_frac + self.hard_frac + self.dormant_frac <= 1 + 1e-9, "tag-over-100")
        self._check_tag_parts()
        require(self.pls_frac >= MIN_LIVE_FRAC, "tag-no-live-seed", least_typed_frac=MIN_LIVE_FRAC)
        require_between(
            "bulk_weight", self.bulk_kg_per_m3, *WEIGHTS_KG_PER_M3, "_kg_per_m3", example='"8 lb/bu"'
        )
        require_between("bag", self.bag_kg, 0.005, 2000, "_typed_kg", example='"50 lb"')

    def _check_tag_parts(self) -> None:
        """Pure seed, other crop, inert matter and weed seed make the whole bag; coating is inert matter."""
        rest = (self.inert_frac, self.other_crop_frac, self.weed_frac)
        given = self.purity_frac + sum(share for share in rest if share is not None)
        whole = given <= 1 + TAG_ROUNDING_FRAC and (None in rest or given >= 1 - TAG_ROUNDING_FRAC)
        require(whole, "tag-parts", given_frac=given)
        max_frac = 1 - self.purity_frac
        if self.inert_frac is not None:
            max_frac = min(max_frac, self.inert_frac)
        shares = {"coating_typed_frac": self.coating_frac, "purity_typed_frac": self.purity_frac}
        require(self.coating_frac <= max_frac + TAG_ROUNDING_FRAC, "tag-coating", **shares)

    def same_tag(self, other: Component) -> bool:
        """Whether two uses of a lot agree in all that their tags say; a figure that one lacks is no conflict."""
        of_use = ("box", "rate", "full_rate_kg_per_m2", "carrier", "meant", "unlikely", "unsaid")
        names = [field.name for field in fields(self) if field.name not in of_use]
        pairs = [(getattr(self, name), getattr(other, name)) for name in names]
        lacking = (None, "", ())
        return all(mine == its for mine, its in pairs if mine not in lacking and its not in lacking)

    @property
    def viability(self) -> Viability:
        """What the live share stands on: the germination test, a tetrazolium test, or both."""
        if self.tz_frac is None:
            return "germination"
        return "TZ" if "germination" in self.unsaid else "germination and TZ"

    @property
    def last_test(self) -> date | None:
        """The date of the test that the live share stands on."""
        return self.tz_tested if self.viability == "TZ" else self.tested

    @property
    def pls_frac(self) -> float:
        """Share of pure live seed in the bulk: purity × (germination + hard + dormant), fsa-201."""
        return self.purity_frac * min(1.0, self.germination_frac + self.hard_frac + self.dormant_frac)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """Seed lots that are sown together, and the share to order beyond what is sown."""

    name: str
    components: tuple[Component, ...]
    overage_frac: float

    def __post_init__(self) -> None:
        """Check ranges."""
        require(len(self.components) > 0, "mix-empty", mix=self.name)
        lots = [(component.species, component.lot) for component in self.components]
        for species, lot in lots:
            require(
                lots.count((species, lot)) == 1, "lot-twice-in-mix", mix=self.name, species=species, lot=lot
            )
        for box in {component.box for component in self.components}:
            carriers = {
                component.carrier
                for component in self.components
                if component.box == box and component.carrier is not None
            }
            require(len(carriers) <= 1, "carriers-differ", mix=self.name, box=box)
        require_between("overage", self.overage_frac, 0, 3, "_typed_frac", example='"5 %"')
