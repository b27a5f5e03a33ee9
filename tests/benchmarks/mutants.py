"""Small wrong edits of the package, and the share of them that the tests notice.

A room is a folder or file of the package. Of each room's edits a sample is drawn, kind by kind, the same
for the same seed and code. Each is made in a scratch copy and tried on tests that run the changed lines:
quick ones first, one of each file in turn, as many as take --seconds together, so that the share is at
least what it says. Which test runs which line is found once, by running all tests (kept in the folder of
--lines while package and tests stay as they are). What no test runs is tried on tests that start processes.
Linters and types are not asked. Some edits are no fault: they change nothing that anybody could see.

    python -m tests.benchmarks.mutants [--per-room 40] [--seed 1] [--rooms units report seed …] [--list
    FILE] [--again FILE]

--again tries the edits of such a list once more, wherever their lines stand by now, in place of a sample. A
run that is interrupted shows what it has: rooms take turns. Needs ``pip install coverage``; on an idle core
10 minutes for the lines, then 2 to 15 seconds an edit (a multiple of it where others work beside it).
"""

from __future__ import annotations

import argparse
import ast
import random
import re
import tempfile
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path

from tests.benchmarks.mutants_edits import Edit, changed, edits_of
from tests.benchmarks.mutants_source import Reach, Source
from tests.benchmarks.mutants_tests import ROOT, Scratch, Watch, timed

ROOMS = ("units", "typed_number", "typed_quantity", "typed_unit", "report", "seed", "work")
BY_HAND = (
    ("litres are a tenth", r'"l": 0\.001\b', '"l": 0.0001'),
    ("bushels are those of another country", r"\b2150\.42 \*", "2219.36 *"),
    ("acres an hour are doubled", r"\(value_m2_per_s \* HOUR_S", "(2 * value_m2_per_s * HOUR_S"),
    ("ranges in notes run backwards", r"\b_range\(low, high\)", "_range(high, low)"),
    ("the first source is dropped", r"for one in plan\.sources\b", "for one in plan.sources[1:]"),
    ("sources named in brackets are dropped", r"\bfound\[1\] or found\[2\]", 'found[1] or ""'),
    ("a code of an error is misspelt", r'"quantity-comma"', '"quantity-coma"'),
)
"""Edits tried on every run: what, where, and what stands there instead."""
OUTCOMES = ("killed", "survived", "not covered")


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """An edit and what came of it."""

    room: str
    edit: Edit
    old: str
    new: str
    outcome: str
    n_tests: int
    n_direct: int

    def __str__(self) -> str:
        told = f"{self.outcome}, {self.n_direct} test(s) run it, {self.n_tests} were tried"
        lines = [
            *(f"  - {line}" for line in self.old.splitlines()),
            *(f"  + {line}" for line in self.new.splitlines()),
        ]
        return "\n".join(
            [f"{self.edit.file}:{self.edit.line} [{self.room}, {self.edit.kind}] {told}", *lines]
        )


def main() -> None:
    """Draw, try, print a table, list what survived."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--per-room", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rooms", nargs="+", default=ROOMS, help="folders or files of the package")
    parser.add_argument("--list", type=Path, help="where to write what survived")
    parser.add_argument("--again", type=Path, help="a list whose edits to try in place of a sample")
    parser.add_argument(
        "--seconds", type=float, default=10.0, help="how long the tests of one edit may take together"
    )
    parser.add_argument("--lines", type=Path, help="where to keep which test runs which line")
    given = parser.parse_args()
    began = time.monotonic()
    sources = {
        file: Source(file, (ROOT / file).read_text(encoding="utf-8")) for file in _files(ROOT / "fieldplan")
    }
    reach = Reach(sources.values())
    drawn = (
        list(_listed(given.again, sources, reach)) if given.again else list(_drawn(given, sources, reach))
    )
    with tempfile.TemporaryDirectory() as folder:
        scratch = Scratch(Path(folder))
        watch = Watch(scratch.gather((given.lines or Path(folder) / "lines").resolve()), scratch.root)
        print(
            f"{len(watch.tests)} tests; not asked, since they do not pass unchanged: {watch.failing or 'none'}",
            flush=True,
        )
        tried: list[Tried] = []
        with suppress(KeyboardInterrupt):
            for k, (room, edit) in enumerate(drawn, start=1):
                tried.append(_try(room, edit, sources[edit.file], scratch, watch, given.seconds))
                print(
                    f"{k}/{len(drawn)} {edit.file}:{edit.line} {edit.kind}: {tried[-1].outcome} ({timed(began)})",
                    flush=True,
                )
    if given.list:
        given.list.write_text(
            "".join(f"{one}\n" for one in tried if one.outcome != "killed"), encoding="utf-8"
        )
    print("\n".join(_table(tried)))


def _drawn(
    given: argparse.Namespace, sources: Mapping[str, Source], reach: Reach
) -> Iterator[tuple[str, Edit]]:
    """Those made by hand, then rooms in turn, so that a run that is cut short has tried some of each."""
    yield from _by_hand(sources, reach)
    samples = [_sample(room, sources, reach, given.per_room, given.seed) for room in given.rooms]
    yield from (pair for pairs in zip_longest(*samples) for pair in pairs if pair)


def _files(under: Path) -> list[str]:
    return sorted(f"{one.relative_to(ROOT)}" for one in under.rglob("*.py"))


def _room_files(room: str) -> list[str]:
    under = ROOT / "fieldplan" / room
    files = [one for one in (f"fieldplan/{room}.py",) if (ROOT / one).exists()] + _files(under)
    if not files:
        raise SystemExit(f"fieldplan has no room {room}")
    return files


def _sample(
    room: str, sources: Mapping[str, Source], reach: Reach, n: int, seed: int
) -> Iterator[tuple[str, Edit]]:
    """Edits of a room: kinds take turns, and of a kind the files."""
    by_kind: dict[str, list[Edit]] = {}
    for file in _room_files(room):
        for edit in edits_of(sources[file], reach):
            by_kind.setdefault(edit.kind, []).append(edit)
    draw, used = random.Random(f"{seed} {room}"), Counter[str]()
    for edits in by_kind.values():
        draw.shuffle(edits)
    while n and any(by_kind.values()):
        for edits in by_kind.values():
            edits.sort(key=lambda edit: -used[edit.file])
            while n and edits:
                edit = edits.pop()
                if changed(sources[edit.file], edit) is not None:
                    used[edit.file] += 1
                    n -= 1
                    yield room, edit
                    break


def _by_hand(sources: Mapping[str, Source], reach: Reach) -> Iterator[tuple[str, Edit]]:
    for what, pattern, new in BY_HAND:
        found = next(
            ((source, place) for source in sources.values() if (place := re.search(pattern, source.text))),
            None,
        )
        if found is None:
            print(f"skipped, since its line is gone: {what}")
        else:
            source, place = found
            yield "by hand", _edit(source, reach, what, place.start(), place.end(), new)


def _listed(path: Path, sources: Mapping[str, Source], reach: Reach) -> Iterator[tuple[str, Edit]]:
    """The edits of a list, in their file or in any other that has just their lines."""
    for block in re.split(r"\n(?=\S)", path.read_text(encoding="utf-8").strip()):
        head, *lines = block.splitlines()
        old, new = ("\n".join(line[4:] for line in lines if line.startswith(f"  {sign} ")) for sign in "-+")
        file, line, room, kind = re.findall(r"(.+):(\d+) \[(.+?), (.+)\] ", head)[0]
        places = [
            (source, place) for source in sources.values() for place in _whole_lines(source.text, old)
        ]
        if places:
            source, start = min(
                places, key=lambda pair: (pair[0].file != file, abs(pair[0].line_of(pair[1]) - int(line)))
            )
            yield room, _edit(source, reach, kind, start, start + len(old), new)
        else:
            print(f"skipped, since its lines are gone: {head}")


def _whole_lines(text: str, lines: str) -> Iterator[int]:
    return (found.start() for found in re.finditer(rf"^{re.escape(lines)}$", text, re.MULTILINE))


def _edit(source: Source, reach: Reach, kind: str, start: int, end: int, new: str) -> Edit:
    """An edit of a stretch of text: all parts that begin in it are what it changes."""
    while start < end and source.text[start].isspace():
        start, new = start + 1, new[1:]
    spans = [(part, *source.span(part)) for part in source.parts() if isinstance(part, ast.stmt | ast.expr)]
    within = [one for one, first, _ in spans if start <= first < end]
    around = within or [one for one, first, last in spans if first <= start < last][-1:]
    return Edit(
        file=source.file,
        kind=kind,
        start=start,
        end=end,
        new=new,
        line=source.line_of(start),
        places=lambda: {place for one in around for place in reach.of(source, one)},
    )


def _try(room: str, edit: Edit, source: Source, scratch: Scratch, watch: Watch, max_s: float) -> Tried:
    text = changed(source, edit)
    assert text is not None, edit
    direct = watch.of(edit.places())
    names = watch.chosen(direct, max_s)
    path = scratch.root / edit.file
    path.write_text(text, encoding="utf-8")
    try:
        noticed = scratch.fails(names, scratch.root.parent / "tried.log", 30 + 3 * watch.seconds(names))
    finally:
        path.write_text(source.text, encoding="utf-8")
    outcome = "killed" if noticed else "survived" if direct else "not covered"
    first, last = source.text.rfind("\n", 0, edit.start) + 1, source.text.find("\n", edit.end)
    return Tried(
        room=room,
        edit=edit,
        old=source.text[first:last],
        new=text[first : last - len(source.text) + len(text)],
        outcome=outcome,
        n_tests=len(names),
        n_direct=len(direct),
    )


def _table(tried: Sequence[Tried]) -> Iterator[str]:
    yield (
        f"{'room':<10}{'mutants':>9}" + "".join(f"{one:>13}" for one in OUTCOMES) + f"{'share killed':>14}"
    )
    rooms = list(dict.fromkeys(one.room for one in tried))
    for room in rooms:
        yield _row(room, [one for one in tried if one.room == room])
    if len(rooms) > 1:
        yield _row("all", [one for one in tried if one.room != "by hand"])


def _row(room: str, tried: Iterable[Tried]) -> str:
    counts = Counter(one.outcome for one in tried)
    n = counts.total()
    return (
        f"{room:<10}{n:>9}"
        + "".join(f"{counts[one]:>13}" for one in OUTCOMES)
        + f"{counts['killed'] / n if n else 0:>14.0%}"
    )


if __name__ == "__main__":
    main()
