"""What states ask of seed that is sold: the age of its test, weed seed and germination, tests by tetrazolium."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.errors import TableError
from fieldplan.model.seed_law import SeedLaw
from fieldplan.tables import read

FEDERAL = "federal"
"""The place of the limit for seed that crosses state lines."""
_ANY = "any"


@dataclass(frozen=True, slots=True, kw_only=True)
class AgeOfSome:
    """A limit for some kinds of seed alone."""

    seed: str
    months: int
    remark: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AgeLimit:
    """The limit of a state on the age of a germination test.

    Parameters
    ----------
    months
        From the month of the test, which is not counted, to the sale; ``None`` where no number was found.
    of_some
        Limits of kinds of seed that have their own.
    remark
        What the source says besides.
    source
        The key of its source.
    """

    state: str
    months: int | None
    of_some: tuple[AgeOfSome, ...]
    remark: str
    source: str


def age_limit(state: str) -> AgeLimit | None:
    """Return the limit of a state, or of `FEDERAL` law; ``None`` if the state is not in the table."""
    rows = [row for row in read.rows("test_ages") if row["state"].casefold() == state.strip().casefold()]
    own = next((row for row in rows if row["seed"] == _ANY), None)
    if own is None:
        return None
    return AgeLimit(
        state=own["state"],
        months=int(own["months"]) if own["months"] else None,
        of_some=tuple(
            AgeOfSome(
                seed=row["seed"], months=int(row["months"]), remark=row["place"], source=row["source"]
            )
            for row in rows
            if row is not own
        ),
        remark=own["place"],
        source=own["source"],
    )


def limit_for(law: SeedLaw) -> AgeLimit | None:
    """Return the limit that counts for a job: its own, else that of its state; ``None`` if neither is known."""
    if law.max_months is not None:
        return AgeLimit(state=law.state, months=law.max_months, of_some=(), remark=law.source, source="")
    return age_limit(law.state) if law.state else None


def limit_counted(law: SeedLaw) -> AgeLimit:
    """Return the limit to count months by: that of `limit_for` or, where it has no number, the federal one."""
    own = limit_for(law)
    if own is not None and own.months is not None:
        return own
    federal = age_limit(FEDERAL)
    if federal is None or federal.months is None:
        raise TableError.of("table-row-missing", file="test_ages.csv", column="state", cell=FEDERAL)
    return federal


def months_of_states() -> tuple[int, int]:
    """Return the lowest and highest limit of states, federal law left out."""
    months = [
        int(row["months"])
        for row in read.rows("test_ages")
        if row["state"] != FEDERAL and row["seed"] == _ANY and row["months"]
    ]
    return min(months), max(months)


@dataclass(frozen=True, slots=True, kw_only=True)
class SaleLimit:
    """What a state asks of seed that is sold: the least or most of a share of the tag."""

    what: str
    least_frac: float | None
    most_frac: float | None
    source: str


def sale_limits(state: str) -> tuple[SaleLimit, ...]:
    """Return the limits of a state on what the tag says."""
    return tuple(
        SaleLimit(
            what=row["what"],
            least_frac=float(row["least"]) / 100 if row["least"] else None,
            most_frac=float(row["most"]) / 100 if row["most"] else None,
            source=row["source"],
        )
        for row in read.rows("sale_limits")
        if row["state"].casefold() == state.strip().casefold()
    )


def rule_of(state: str, about: str) -> tuple[str, str] | None:
    """Return what a state says of ``"tetrazolium"`` or ``"noxious weeds"``, and the key of the source.

    ``None`` if it is not known, or no state is named.
    """
    for row in read.rows("seed_rules"):
        if (row["about"], row["state"].casefold()) == (about, state.strip().casefold()):
            return row["says"], row["source"]
    return None
