"""The waiting list for the terminal: whom to phone about days that are free again, in order, and what to enter."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.model.standing import Offer
from fieldplan.report.text.entering import command_lines
from fieldplan.report.text.season_since import freed_text, overdue_text
from fieldplan.report.text.table import paragraph
from fieldplan.report.words.numbers import counted, odds_text
from fieldplan.report.words.plain import plain


def offers_page(
    offers: Sequence[Offer],
    season: str,
    confidence_prob: float,
    store: str,
    overdue: Sequence[str] = (),
    *,
    any_free: bool,
) -> str:
    """Every span of freed days with those to phone; what each would gain; what to enter for a yes and for a no.

    Parameters
    ----------
    season
        Name of the season.
    confidence_prob
        The odds asked for.
    store
        The season as commands name it (`store_words`).
    overdue
        Ids of requests that have a drill past their last day.
    any_free
        Whether days are free again at all.
    """
    lines = [plain(f"{season}: days that are free again"), ""]
    if not any_free:
        return (
            "\n".join(
                [
                    *lines,
                    "  None. Days are offered when a confirmed booking is cancelled, given back or done early.",
                ]
            )
            + "\n"
        )
    if not offers:
        return (
            "\n".join(
                [
                    *lines,
                    "  Nobody could use them. To give them to whoever comes:",
                    *command_lines(store, "--refill", command="plan"),
                ]
            )
            + "\n"
        )
    if overdue:
        lines += [*paragraph(overdue_text(overdue)), ""]
    for freed in dict.fromkeys(offer.freed for offer in offers):
        lines.append(plain(freed_text(freed).upper()))
        of_span = [offer for offer in offers if offer.freed == freed]
        for number, offer in enumerate(of_span, start=1):
            lines += paragraph(_call(offer, confidence_prob), bullet=f"{number}. ")
            place = f'request={offer.request.request_id} drill="{freed.drill}" first={offer.days[0]}'
            lines.append("     > yes:")
            if offer.booked is not None and offer.booked.confirmed:
                lines += command_lines(store, f"release request={offer.request.request_id}")
            lines += command_lines(store, f"confirm {place}")
            lines.append("     > no:")
            lines += command_lines(store, f"decline {place}")
        lines.append("")
    lines += paragraph(
        "Phone in this order. Nothing is given away by this page: enter the answer, and ask again for what is left. Without day= "
        "an answer is today's."
    )
    return "\n".join(lines) + "\n"


def _call(offer: Offer, confidence_prob: float) -> str:
    who = ", ".join(filter(None, (offer.request.request_id, offer.request.phone)))
    gain = (
        "has no days now"
        if offer.booked is None
        else f"{counted(offer.earlier_days or 0, 'day')} earlier than {offer.booked.days[0]:%a %d %b} with {offer.booked.drill}"
    )
    return (
        f"{offer.request.renter} ({who}): {offer.days[0]:%a %d %b} to {offer.days[-1]:%a %d %b}, "
        f"{counted(len(offer.days), 'day')}, odds {odds_text(offer.odds_prob, confidence_prob)}; {gain}."
    )
