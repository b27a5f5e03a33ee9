"""A designed mix on paper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from fieldplan.report.documents.mix import mix_document
from fieldplan.report.files import Writer
from fieldplan.report.output import MixAsked, Output, ready
from fieldplan.report.paper.document import document_pdf


def _made(asked: MixAsked) -> Mapping[str, Writer]:
    """The PDF; made at once, since making it can fail."""
    document = replace(mix_document(asked.design, asked.q), head=asked.head)
    return {"mix.pdf": ready(document_pdf(document, asked.paper))}


PDF: Output[MixAsked] = Output(
    name="pdf", words="mix.pdf, the page", make=_made, always=("mix.pdf",), extra="sheets"
)
