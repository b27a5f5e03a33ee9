"""A fee for the terminal."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.model.fee import Fee, RateCard
from fieldplan.report.documents.document import Document
from fieldplan.report.documents.fee import billed_on, fee_parts
from fieldplan.report.text.document import document_text
from fieldplan.report.words.quantities import Quantities


def fee_page(card: RateCard, fee: Fee, about: Sequence[str], q: Quantities) -> str:
    """The fee line by line, with how each line was calculated.

    Parameters
    ----------
    about
        Sentences before the lines: what the fee is for, and warnings.
    """
    return document_text(
        Document(
            title=f"Fee by {card.name}",
            about=tuple(about),
            parts=tuple(fee_parts(card, fee, q)),
            last=billed_on(fee, q),
        )
    )
