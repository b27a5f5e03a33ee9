"""What happened in a season, as a clerk wrote it down, and what follows from it: loans, bills, proof for
cost share, the board's report.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from fieldplan.facts import Fact, TableSentence
from fieldplan.model.fee import Fee, RateCard
from fieldplan.model.season import Confirmed, Request


@dataclass(frozen=True, slots=True, kw_only=True)
class Fresh:
    """An entry that is not in the ledger yet: its kind, its facts as they were typed, and the row that it
    puts right, if any.

    ``where`` says where it was typed, for messages.
    """

    kind: str
    typed: Mapping[str, str]
    corrects: int | None = None
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A row of the ledger. ``facts`` are the typed facts in SI; ``entered`` is when it was written, UTC,
    ISO 8601.
    """

    number: int
    entered: str
    kind: str
    typed: Mapping[str, str]
    facts: Mapping[str, Any]
    corrects: int | None = None

    @property
    def day(self) -> date:
        """The day on which it happened."""
        day = self.facts["day"]
        assert isinstance(day, date)
        return day

    @property
    def request(self) -> str:
        """The request it is about, or nothing."""
        return str(self.facts.get("request", ""))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sown:
    """Ground sown on one day: the field, what the meter counted there if it was read, and how."""

    number: int
    field_id: str
    day: date
    drilled_m2: float | None
    practice: str
    depth_m: float | None
    settings: str
    weather: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedUsed:
    """Seed of one lot that went into one field, and what its tag says as far as it was written down."""

    number: int
    field_id: str
    species: str
    lot: str
    bulk_kg: float
    box: str
    purity_frac: float | None
    germination_frac: float | None
    dormant_frac: float | None
    tested: date | None
    origin: str
    tag: str
    receipt: str

    @property
    def pls_kg(self) -> float | None:
        """Pure live seed: bulk × purity × (germination + hard and dormant); ``None`` if the tag was not
        written down.
        """
        if self.purity_frac is None or self.germination_frac is None:
            return None
        return self.bulk_kg * self.purity_frac * (self.germination_frac + (self.dormant_frac or 0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Rental:
    """A drill out with a renter: from one meter reading to the next. Without ``back`` it is still out."""

    request: str
    drill: str
    out: Entry
    back: Entry | None

    @property
    def drilled_m2(self) -> float | None:
        """What the drill's meter counted; ``None`` while it is out."""
        return None if self.back is None else float(self.back.facts["meter"] - self.out.facts["meter"])

    @property
    def days(self) -> int | None:
        """Days that the drill was out, the first and the last counted; ``None`` while it is out."""
        return None if self.back is None else (self.back.day - self.out.day).days + 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """All that was written down about one request. ``deposit`` is what is held of it now."""

    request: Request
    rentals: tuple[Rental, ...]
    sown: tuple[Sown, ...]
    seed: tuple[SeedUsed, ...]
    paid: tuple[Entry, ...]
    deposit: Decimal
    remarks: tuple[Entry, ...]
    confirmed: Confirmed | None
    refused: Entry | None
    facts: Mapping[str, str]

    @property
    def returned(self) -> bool:
        """Whether a drill was out and all are back."""
        return bool(self.rentals) and all(rental.back is not None for rental in self.rentals)

    @property
    def drilled_m2(self) -> float:
        """What the meters counted on all loans that are over."""
        return sum(rental.drilled_m2 or 0.0 for rental in self.rentals)

    @property
    def days(self) -> int:
        """Calendar days on which drills were out, on loans that are over; a day on which one ended and the
        next began counts once.
        """
        out = {rental.out.day.toordinal() + k for rental in self.rentals for k in range(rental.days or 0)}
        return len(out)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """A field of a request on the map: its id, the ground inside its outline less holes, and what of it can
    be sown.
    """

    field_id: str
    mapped_m2: float
    plantable_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """What a request owes: three acreages kept apart, the fee, and what was paid.

    ``if_prompt`` is what it comes to if it is paid in time for the card's prompt-pay line, within
    ``prompt_days``; ``None`` if the card has none, or it is too late. ``lost_days`` are days of the loans
    that were lost to weather.
    """

    account: Account
    card: RateCard
    as_of: date
    mapped_m2: float
    drilled_m2: float
    billed_ac: float
    fee: Fee
    if_prompt: Decimal | None
    prompt_days: int | None
    paid: Decimal
    lost_days: int

    @property
    def owed(self) -> Decimal:
        """Still to be paid; below nothing if too much was."""
        return self.fee.total - self.paid


@dataclass(frozen=True, slots=True, kw_only=True)
class PacketField:
    """One field of a cost-share packet. ``missing`` says what of it is not on record."""

    field_id: str
    mapped_m2: float
    drilled_m2: float | None
    sown: tuple[Sown, ...]
    seed: tuple[SeedUsed, ...]
    missing: tuple[Fact | TableSentence, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Packet:
    """Proof for a cost-share payment: complete, or what is missing. ``facts`` are named facts of the whole
    request, ``sources`` the keys of what says that it is asked for.
    """

    account: Account
    facts: Mapping[str, str]
    fields: tuple[PacketField, ...]
    missing: tuple[Fact | TableSentence, ...]
    cautions: tuple[Fact, ...]
    sources: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """Whether nothing is missing."""
        return not self.missing and not any(field.missing for field in self.fields)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardLine:
    """Sums over the requests of one group, such as a practice: acres in m² but those billed, which a rate
    card counts in acres.

    ``name`` is empty where the list does not say the group.
    """

    name: str
    users: int
    mapped_m2: float
    drilled_m2: float
    billed_ac: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillLine:
    """Sums over the loans and repairs of one drill."""

    name: str
    rentals: int
    days_out: int
    drilled_m2: float
    rain_days: int
    repairs: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The season for the board and whoever funds it. Every total is a sum over records.

    ``balances`` are what each request was charged and what it paid; ``strays`` are requests that entries
    name and the list has not.

    ``groups`` are by column of the list of requests; ``deposits`` are held and no income; ``unbilled`` are
    requests with returned loans that could not be billed, and why; ``remarks`` what was said, by request.
    """

    as_of: date
    requests: int
    rentals: int
    users: int
    groups: Mapping[str, tuple[BoardLine, ...]]
    drills: tuple[DrillLine, ...]
    total: BoardLine
    charged: Decimal
    paid: Decimal
    deposits: Decimal
    balances: tuple[tuple[Request, Decimal, Decimal], ...]
    strays: tuple[str, ...]
    repairs: Decimal
    rain_days: int
    turned_away: tuple[tuple[Request, float, str], ...]
    open_requests: tuple[str, ...]
    seed_kg: Mapping[str, float]
    unbilled: tuple[tuple[Request, Fact], ...]
    unaccounted_m2: float
    remarks: tuple[tuple[Request, str], ...]
    currency: str
