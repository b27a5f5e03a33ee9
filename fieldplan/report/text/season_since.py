"""What happened to a season since it was planned last, for the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fieldplan.model.standing import Freed, Since
from fieldplan.report.text.entering import command_lines
from fieldplan.report.text.table import paragraph
from fieldplan.report.words.plain import plain


def since_lines(since: Since, store: str) -> Iterator[str]:
    """What changed in the list, what the clerk is asked, and which days are on offer; nothing if nothing is to be said.

    Parameters
    ----------
    store
        The season as commands name it (`store_words`).
    """
    found = list(_sentences(since))
    if found:
        yield ""
        yield "SINCE THE LAST PLAN"
        for text, entry in found:
            yield from paragraph(plain(text), bullet="- ")
            if entry:
                yield from command_lines(store, entry)


def _sentences(since: Since) -> Iterator[tuple[str, str]]:
    """Each with what to enter, or nothing."""
    for name in since.gone:
        yield (
            f"{name} is gone from the list. Was it withdrawn? Its booking stays until you say so, or put its row back:",
            f"withdraw request={name}",
        )
    for name in since.outside:
        yield (
            f"{name} is confirmed for days outside the dates that its row has now. The booking stays: put the dates right, or "
            "release it to have it moved:",
            f"release request={name}",
        )
    yield from ((text, "") for text in _remarks(since))


def _remarks(since: Since) -> Iterator[str]:
    if since.overdue:
        yield overdue_text(since.overdue)
    for name, requests in since.namesakes.items():
        yield f"{name} is the name of several renters ({', '.join(requests)}). If they are one, give their rows one renter_id."
    for name in since.withdrawn:
        yield f"{name} was withdrawn and is not planned; its row may go from the list."
    for requirements, names in _by_requirements(since).items():
        yield f"Before a drill goes out to {', '.join(names)}: {', '.join(requirements)} still open."
    if since.came:
        yield f"New: {', '.join(since.came)}."
    for name, columns in since.changed.items():
        yield f"{name} changed: {', '.join(columns)}."
    if since.moved:
        yield f"Moved, as nobody had confirmed it: {', '.join(since.moved)}."
    if since.lost:
        yield f"No days any more, as nobody had confirmed it: {', '.join(since.lost)}."
    if since.again:
        yield f"Has days again, after it lost its booking: {', '.join(since.again)}. Phone to ask for a yes."
    if since.freed:
        yield (
            f"Free again: {'; '.join(map(freed_text, since.freed))}. Nobody gets it before you have phoned: fieldplan season offers "
            "says who is first, or give it away by the rules with --refill."
        )


def _by_requirements(since: Since) -> Mapping[tuple[str, ...], Sequence[str]]:
    """The requests that the same requirements are open of, in the order of the first of them."""
    found: dict[tuple[str, ...], list[str]] = {}
    for name, requirements in since.open_before_out.items():
        found.setdefault(requirements, []).append(name)
    return found


def overdue_text(names: Sequence[str]) -> str:
    """That drills are out past the last day, and what comes after it rests on their return."""
    return (
        f"Still out past the last day: {', '.join(names)}. Ask how much is done, and enter it (done, or in): what is planned and "
        "offered after it rests on the drill's return."
    )


def freed_text(one: Freed) -> str:
    """Days that are free again, and whose they were."""
    last = "" if len(one.days) == 1 else f" to {one.days[-1]:%a %d %b}"
    return f"{one.drill}, {one.days[0]:%a %d %b}{last} ({one.request_id})"
