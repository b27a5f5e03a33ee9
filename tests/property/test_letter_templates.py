"""Templates of letters: what they say comes out as typed, fields once and as they are, and nothing unknown passes."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldplan.errors import InputError
from fieldplan.model.letters import LETTER_KINDS, LetterKind
from fieldplan.report.documents.document import Part
from fieldplan.report.letters.fields import FIELDS
from fieldplan.report.letters.template import fields_in, filled, template_of

KINDS = st.sampled_from(LETTER_KINDS)
LETTERS = "abreqn012 #_-.<>é–麦"
TYPED = st.text(LETTERS + "{}", min_size=1, max_size=30)
WITHOUT_BRACES = st.text(LETTERS, max_size=30).map(lambda text: f"x{text}")


def _values(kind: LetterKind, said: str) -> dict[str, str | tuple[Part, ...]]:
    return {name: (Part(lines=(said,)),) if field.table else said for name, field in FIELDS[kind].items()}


@given(KINDS, WITHOUT_BRACES, st.lists(WITHOUT_BRACES | st.just(""), min_size=1, max_size=8))
def test_text_without_fields_comes_out_as_typed(kind: LetterKind, title: str, lines: list[str]) -> None:
    """Line by line; only empty lines that follow each other, and those at the end, are fewer."""
    text = "\n".join((title, *lines, "last"))
    heading, body = filled(template_of(kind, text, "x"), _values(kind, "said"))
    assert heading == title.rstrip()
    assert [line for line in body if line] == [line.rstrip() for line in (*lines, "last") if line.rstrip()]
    assert ("", "") not in pairwise(body)


@given(KINDS, TYPED)
def test_what_a_field_says_is_never_read_as_a_field(kind: LetterKind, said: str) -> None:
    """A renter who is called "{owed}" stays that."""
    names = [name for name, field in FIELDS[kind].items() if not field.table]
    text = "heading {renter}\n" + "\n".join(f"<{{{name}}}|{{{{{name}}}}}>" for name in names)
    heading, body = filled(template_of(kind, text, "x"), _values(kind, said))
    assert heading == f"heading {said}"
    assert list(body) == [f"<{said}|{{{name}}}>" for name in names]


@given(KINDS, st.text(LETTERS, min_size=1, max_size=30))
def test_a_name_that_no_field_has_is_refused(kind: LetterKind, name: str) -> None:
    """With its line."""
    text = f"heading\n\n{{{name}}}\n"
    if name.strip() in FIELDS[kind]:
        template_of(kind, text, "x")
        return
    with pytest.raises(InputError) as caught:
        template_of(kind, text, "x")
    assert [(one.code, one.about) for one in caught.value.problems] == [("template-field", "line 3")]


@given(KINDS, st.data())
def test_a_line_is_left_out_if_a_field_in_it_has_nothing_to_say(
    kind: LetterKind, data: st.DataObject
) -> None:
    """Whichever of them; all other lines stay."""
    names = [name for name, field in FIELDS[kind].items() if not field.table]
    lines = data.draw(
        st.lists(st.lists(st.sampled_from(names), min_size=1, max_size=3), min_size=1, max_size=6)
    )
    silent = data.draw(st.sets(st.sampled_from(names)))
    text = "\n".join(("heading", *(" and ".join(f"{{{name}}}" for name in line) for line in lines)))
    values = _values(kind, "said") | dict.fromkeys(silent, "")
    _, body = filled(template_of(kind, text, "x"), values)
    assert list(body) == [" and ".join(["said"] * len(line)) for line in lines if not silent & set(line)]


@given(KINDS, TYPED)
def test_any_text_is_read_or_refused(kind: LetterKind, text: str) -> None:
    """Never anything but a template or sentences; a template names known fields only."""
    try:
        template = template_of(kind, f"heading\n{text}\nlast", "x")
    except InputError:
        return
    assert {name for line in template.lines for name in fields_in(line)} <= set(FIELDS[kind])
