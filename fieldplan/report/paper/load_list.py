"""The load list on paper."""

from __future__ import annotations

from fieldplan.report.documents.load_list import load_list_document
from fieldplan.report.output import Output, PlanAsked, of_bytes
from fieldplan.report.paper.document import document_pdf

OUTPUT: Output[PlanAsked] = Output(
    name="loads",
    words="PDF, the load list by trip and day",
    make=lambda asked: {
        "load-list.pdf": of_bytes(
            lambda: document_pdf(load_list_document(asked.plan, asked.q), asked.paper)
        )
    },
    extra="sheets",
)
