"""The fields that templates of letters may name, and what each says in a letter."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from fieldplan.model.letters import (
    About,
    AboutBill,
    AboutBooking,
    AboutCancelled,
    AboutOffer,
    AboutSeason,
    Letter,
    LetterKind,
)
from fieldplan.model.records import Rental
from fieldplan.model.rental_program import SeasonTerms
from fieldplan.model.standing import Checked
from fieldplan.report.documents.bill import acres_part, charge_parts, due_from, late_lines, rented_lines
from fieldplan.report.documents.document import Part
from fieldplan.report.words.money_and_places import money_text, place_text
from fieldplan.report.words.numbers import counted, odds_text
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence

Values = Mapping[str, str | tuple[Part, ...]]


@dataclass(frozen=True, slots=True)
class Field:
    """What a field says, and whether it is a table, which stands alone on its line."""

    says: str
    table: bool = False


_COMMON = {
    "renter": Field("the renter's name"),
    "request": Field("the id of the request"),
    "season": Field("the name of the season"),
    "district": Field("the first line of the letterhead"),
    "today": Field("the day of the letter"),
}
_DAYS = {
    "drill": Field("the drill"),
    "days": Field("first and last day, and how many working days"),
    "first_day": Field("the first day"),
    "last_day": Field("the last day"),
}
_BOOKED = {
    **_DAYS,
    "odds": Field("the odds of being done within the days, if they were reckoned"),
}
_BOOKING = {
    **_COMMON,
    **_BOOKED,
    "ground": Field("the ground of the request, with its unit"),
    "collect_from": Field("from whom the drill is collected, and where"),
    "sharing": Field("who has it first, if days are shared"),
    "open": Field("what must still be in order before the drill goes out"),
    "requirements": Field("all that the season's file requires, with boxes", table=True),
}
_SUMS = {
    "total": Field("the fee"),
    "paid": Field("what was paid, if anything was"),
    "owed": Field("what is still to be paid, if anything is"),
    "settled": Field("that nothing is owed, if nothing is"),
    "to_pay_back": Field("what was paid too much, if it was"),
    "deposit": Field("the deposit that is held, if one is"),
}
_BILL = {
    **_COMMON,
    **_SUMS,
    "rented": Field("drill, days and meters of each rental, a line each", table=True),
    "acres": Field("ground on the map, drilled and billed", table=True),
    "charges": Field("the lines of the rate card with their sums, payments, and what is owed", table=True),
    "due": Field("the day by which it is to be paid, if the rate card says one and it is not paid"),
    "prompt": Field("what is to be paid if it is paid promptly, and by when, if the rate card offers it"),
    "late": Field("what comes on top if it is paid late, as the rate card says"),
    "terms": Field("how to pay, as the rate card says"),
    "rate_card": Field("the name of the rate card"),
}
FIELDS: Mapping[LetterKind, Mapping[str, Field]] = {
    "confirmation": _BOOKING,
    "moved": {
        **_BOOKING,
        "old_drill": Field("the drill of the letter before"),
        "old_days": Field("the days of the letter before"),
    },
    "cancellation": {
        **_COMMON,
        **_DAYS,
        "told": Field("the day of the letter before"),
        "cancelled": Field("the day on which the booking was cancelled"),
        "why": Field("why, in the words of the entry, if it says so"),
        "waits": Field("that the request stays on the list, if it does"),
    },
    "offer": {
        **_COMMON,
        **_BOOKED,
        "present_days": Field("drill and days that the renter has now, if any"),
        "earlier": Field("how much earlier the offered days begin, if the renter has others"),
    },
    "pick-up": _BOOKING,
    "invoice": {
        **_BILL,
        "due": Field("the day by which it is to be paid, if the rate card says one that is not over"),
        "was_due": Field("the day by which it was to be paid, and from when that counts, if it is over"),
        "replaces": Field("the day of the invoice that this one replaces, if it does"),
    },
    "payment": {
        **_BILL,
        "overdue": Field("for how many days it is overdue"),
        "reminded": Field("the days of earlier reminders, if there were some"),
    },
    "season-end": {
        **_COMMON,
        **_SUMS,
        "rentals": Field("each rental with its days and acres", table=True),
        "drilled": Field("ground drilled in all, with its unit"),
    },
}
"""Fields by kind of letter."""


def values_of(letter: Letter, terms: SeasonTerms, q: Quantities) -> Values:
    """What each field says in a letter; nothing where there is nothing to say.

    Parameters
    ----------
    terms
        The terms of the season.
    """
    found: dict[str, str | tuple[Part, ...]] = {
        "renter": plain(letter.called),
        "request": plain(letter.request.request_id),
        "season": plain(terms.name),
        "district": plain(terms.letterhead[0]) if terms.letterhead else plain(terms.name),
        "today": day_text(letter.day),
    }
    return found | dict(_own(letter.about, letter, terms, q))


def day_text(day: date) -> str:
    """A day as letters write it."""
    return f"{day:%A, %B} {day.day}, {day.year}"


def days_text(days: Sequence[date]) -> str:
    """First and last of some working days, and how many they are."""
    last = f" to {days[-1]:%a %d %b %Y}" if len(days) > 1 else f" {days[0]:%Y}"
    return f"{days[0]:%a %d %b}{last}, {counted(len(days), 'working day')}"


def _own(
    about: About, letter: Letter, terms: SeasonTerms, q: Quantities
) -> Iterator[tuple[str, str | tuple[Part, ...]]]:
    if isinstance(about, AboutBooking):
        yield from _booked(about.drill, about.days, about.odds_prob, terms)
        yield from _booking(about, q)
    elif isinstance(about, AboutCancelled):
        yield from _days(about.drill, about.days)
        yield "told", day_text(about.told)
        yield "cancelled", day_text(about.cancelled)
        yield "why", plain(about.why)
        yield "waits", "Your request stays on our list." if about.waits else ""
    elif isinstance(about, AboutOffer):
        offer = about.offer
        yield from _booked(offer.freed.drill, offer.days, offer.odds_prob, terms)
        now = offer.booked
        yield "present_days", f"{plain(now.drill)}, {days_text(now.days)}" if now else ""
        yield "earlier", counted(offer.earlier_days, "day") if offer.earlier_days else ""
    elif isinstance(about, AboutBill):
        yield from _bill(about, letter, q)
    else:
        yield from _sums(about.charged, about.paid, about.deposit, about.currency)
        yield "rentals", (_rentals(about, q),)
        yield "drilled", f"{q.area(about.drilled_m2)} {q.area_word}"


def _days(drill: str, days: Sequence[date]) -> Iterator[tuple[str, str]]:
    yield "drill", plain(drill)
    yield "days", days_text(days)
    yield "first_day", day_text(days[0])
    yield "last_day", day_text(days[-1])


def _booked(
    drill: str, days: Sequence[date], odds_prob: float | None, terms: SeasonTerms
) -> Iterator[tuple[str, str]]:
    yield from _days(drill, days)
    yield "odds", "" if odds_prob is None else odds_text(odds_prob, terms.confidence_prob)


def _booking(about: AboutBooking, q: Quantities) -> Iterator[tuple[str, str | tuple[Part, ...]]]:
    yield "ground", f"{q.area(about.ground_m2, 1)} {q.area_word}"
    place = place_text(about.place_lonlat)
    whom = plain(about.collect_from) if about.collect_from else f"{plain(about.drill)}'s home"
    yield "collect_from", f"{whom}, at {place}"
    yield "sharing", ", then ".join(plain(name) for name in about.sharing)
    yield "open", "; ".join(plain(open_text(one, q)) for one in about.checks if one.open is not None)
    yield "requirements", (_requirements(about.checks, q),) if about.checks else ()
    if about.was is not None:
        yield "old_drill", plain(about.was[0])
        yield "old_days", days_text(about.was[1])


def open_text(one: Checked, q: Quantities) -> str:
    """A requirement that is open, with what is missing."""
    return f"{one.name} ({sentence(one.open, q)})" if one.open is not None else one.name


def _requirements(checks: Sequence[Checked], q: Quantities) -> Part:
    rows = tuple(
        (
            BOX if one.open is not None else TICKED,
            one.name,
            sentence(one.open, q) if one.open is not None else sentence(one.met, q) if one.met else "",
        )
        for one in checks
    )
    return Part(header=("", "before the drill goes out", "as recorded"), rows=rows, left=3)


BOX, TICKED = "[ ]", "[x]"
"""A box to tick, and a ticked one, as text; on paper they are drawn."""


def _bill(about: AboutBill, letter: Letter, q: Quantities) -> Iterator[tuple[str, str | tuple[Part, ...]]]:
    bill, day = about.bill, letter.day
    yield from _sums(bill.fee.total, bill.paid, bill.account.deposit, bill.card.currency)
    yield "rented", (Part(lines=rented_lines(bill, q)),)
    yield "acres", (acres_part(bill, q),)
    yield "charges", charge_parts(bill, q)
    yield "rate_card", plain(bill.card.name)
    unpaid = bill.owed > 0
    over = letter.kind == "invoice" and bill.due is not None and day > bill.due
    yield "due", day_text(bill.due) if bill.due is not None and unpaid and not over else ""
    was_due = f"{day_text(bill.due)} ({due_from(bill)})" if bill.due is not None and unpaid and over else ""
    yield from [("was_due", was_due)] if letter.kind == "invoice" else ()
    yield "terms", " ".join(plain(term) for term in bill.card.terms) if unpaid else ""
    yield "late", " ".join(plain(line) for line in late_lines(bill))
    prompt = ""
    if bill.if_prompt is not None and bill.prompt_days is not None:
        back = max(rental.back.day for rental in bill.account.rentals if rental.back)
        prompt = (
            f"{money_text(bill.if_prompt - bill.paid, bill.card.currency)} by "
            f"{day_text(back + timedelta(days=bill.prompt_days))}"
        )
    yield "prompt", prompt
    earlier = ", ".join(f"{one:%d %b %Y}" for one in about.earlier)
    yield "replaces", f"{about.earlier[-1]:%d %b %Y}" if about.earlier else ""
    yield "reminded", earlier
    yield (
        "overdue",
        counted((day - bill.due).days, "day") if bill.due is not None and day > bill.due else "",
    )


def _sums(total: Decimal, paid: Decimal, deposit: Decimal, currency: str) -> Iterator[tuple[str, str]]:
    owed = total - paid
    yield "total", money_text(total, currency)
    yield "paid", money_text(paid, currency) if paid else ""
    yield "owed", money_text(owed, currency) if owed > 0 else ""
    yield "settled", "" if owed else "Nothing is owed."
    yield "to_pay_back", money_text(-owed, currency) if owed < 0 else ""
    yield "deposit", money_text(deposit, currency) if deposit else ""


def _rentals(about: AboutSeason, q: Quantities) -> Part:
    return Part(
        header=("drill", "out", "in", "days", f"{q.area_word} drilled"),
        rows=tuple(_rental(rental, q) for rental in about.rentals),
        left=3,
    )


def _rental(rental: Rental, q: Quantities) -> tuple[str, ...]:
    back = f"{rental.back.day:%a %d %b %Y}" if rental.back else ""
    return (
        rental.drill,
        f"{rental.out.day:%a %d %b %Y}",
        back,
        str(rental.days or ""),
        q.area(rental.drilled_m2 or 0.0),
    )
