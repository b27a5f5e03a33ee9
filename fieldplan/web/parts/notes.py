"""What a person should know of the plan: what to act on first, then what its numbers rest on."""

from __future__ import annotations

from collections.abc import Iterable

from fieldplan.facts import Measure
from fieldplan.model.notes import Note
from fieldplan.model.plan import Plan
from fieldplan.planner import setup_cards
from fieldplan.report.html.tags import listed, text
from fieldplan.report.words.notes import background_sentences, note_sentences, notes_to_act_on
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence, sources_text
from fieldplan.web.desk import Desk
from fieldplan.web.parts.job.order import SHEETS
from fieldplan.web.parts.shown import shown_with_plan


def build(desk: Desk) -> None:
    """Build the part in the current container."""
    shown_with_plan(desk, notes_html)


def notes_html(plan: Plan, q: Quantities) -> str:
    """Notes to act on as a list, then those in the background and the sources, which open."""
    act_on = note_sentences(notes_to_act_on(plan.notes), q)
    others = [note for note in plan.notes if note.code != "default-used"]
    defaults = listed_defaults(plan.notes, q)
    background = background_sentences(others, q)
    sources = [f"{source.key}: {source.title}" for source in plan.sources]
    return (
        (listed(act_on) if act_on else "<p>Nothing to act on.</p>")
        + _opens("Cautions", cautions(plan, q))
        + _opens(f"What the numbers rest on ({len(background)})", background)
        + _opens(f"Taken where a box is empty ({len(defaults)})", defaults)
        + _opens(f"Sources ({len(sources)})", sources)
    )


def listed_defaults(notes: Iterable[Note], q: Quantities) -> list[str]:
    """The defaults that were used, each by the label of its box, with its value and its source."""
    used = [note for note in notes if note.code == "default-used"]
    return list(dict.fromkeys(_default(note, q) for note in used))


def _default(note: Note, q: Quantities) -> str:
    table, _, key = str(note.values["key"]).rpartition(".")
    label = next((box.label for box in SHEETS[table].boxes if box.key == key), key)
    kind = f" of a {note.values['kind']} box" if "kind" in note.values else ""
    value = note.values["value"]
    shown = q.measured(value.ending, value.value) if isinstance(value, Measure) else str(value)
    said = {"true": "yes", "false": "no"}.get(shown, shown)
    return f"{label}{kind}: {said} ({sources_text(note.sources)})"


def cautions(plan: Plan, q: Quantities) -> list[str]:
    """The cautions of the set-up cards; the maker's manual goes before them."""
    first = "The drill maker's manual, the seed label, local road rules and the ground in front of you come first."
    every = (sentence(caution.says, q) for card in setup_cards(plan) for caution in card.cautions)
    return [first, *dict.fromkeys(every)]


def _opens(title: str, lines: list[str]) -> str:
    return f"<details><summary>{text(title)}</summary>{listed(lines)}</details>" if lines else ""
