"""Names of files made of names of fields."""

from __future__ import annotations

from fieldplan.report.words.plain import slugs


def test_no_two_fields_share_a_file() -> None:
    """Letters of either case, numbered names beside real ones, other scripts and long names stay apart
    where a disk ignores case.
    """
    names = ["A", "a", "a-2", "a", "Ä", "поле", "井", "n" * 300, "n" * 301]
    assert slugs(names) == ["a", "a-3", "a-2", "a-4", "a-5", "x", "x-2", "n" * 60, "n" * 60 + "-2"]
