"""What is said of mixes, tags, boxes and calibration."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

PHRASES: dict[str, Phrase] = {
    "field-unknown/in-job": Phrase("names no field of {boundary}", hint='<did you mean "{near}"? >fields there: {known}'),
    "mix-unknown": Phrase(
        'asks for mix "{mix}"; {job} has "{known*", "}"',
        hint='<did you mean "{near}"? >add [field.{field}] mix = "…" to the job file, or an attribute mix to the field',
    ),
    "mix-unknown/not-said": Phrase(
        'does not say which mix it gets; {job} has "{known*", "}"',
        hint='<{like* } >add [field.{field}] mix = "…" to the job file, or an attribute mix to the field',
    ),
}
