"""No sequence of commands changes a confirmed booking that was not released, cancelled, withdrawn or given back by its renter,
nor lowers its odds but by days lost inside it.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from living import Clerk, odds_of, row

pytest.importorskip("ortools")

NAMES = ("A", "B", "C", "D", "E")
DRILLS = ("one", "two")
DAYS = [f"2027-05-{day:02}" for day in (3, 4, 5, 6, 7, 8, 10, 11, 12, 13, 14, 15, 17, 18, 19)]
COMMANDS = st.one_of(
    st.sampled_from(
        ["plan", "plan --refill", "rain --today 2027-05-03", "rain --today 2027-05-03", "offers"]
    ),
    st.sampled_from(NAMES).map(lambda name: f"record confirm request={name} day=2027-04-01"),
    st.sampled_from(NAMES).map(lambda name: f"record confirm request={name} day=2027-04-01"),
    st.tuples(st.sampled_from(NAMES), st.sampled_from(DRILLS), st.sampled_from(DAYS)).map(
        lambda to: f"record confirm request={to[0]} drill={to[1]} first={to[2]} day=2027-04-01"
    ),
    st.tuples(st.sampled_from(("release", "cancel", "withdraw")), st.sampled_from(NAMES)).map(
        lambda to: f"record {to[0]} request={to[1]} day=2027-04-01"
    ),
    st.tuples(st.sampled_from(NAMES), st.sampled_from(DAYS)).map(
        lambda to: f"record shorten request={to[0]} last={to[1]} day=2027-04-01"
    ),
    st.sampled_from(DAYS).map(lambda day: f"record lost day={day} why=rain"),
    st.tuples(st.sampled_from(DAYS), st.sampled_from(DRILLS)).map(
        lambda to: f"record lost day={to[0]} drill={to[1]} why=breakdown"
    ),
    st.sampled_from(
        ["list acres", "list far", "list gone", "list back", "list window", "list new", "file terms"]
    ),
)


@dataclass
class Promises:
    """What was promised, kept by hand from the commands that were taken."""

    clerk: Clerk
    held: dict[str, tuple[str, list[str]]] = field(default_factory=dict)
    lost: set[tuple[str, str]] = field(default_factory=set)

    def take(self, line: str, bookings: dict[str, tuple[str, list[str]]]) -> None:
        """A command that was taken, and the bookings that the plan has after it."""
        _, kind, *words = line.split()
        facts = dict(word.split("=") for word in words)
        name = facts.get("request", "")
        if kind == "confirm":
            self.held.setdefault(name, bookings[name])
        elif kind in ("release", "cancel", "withdraw"):
            self.held.pop(name, None)
        elif kind == "shorten" and name in self.held:
            drill, days = self.held[name]
            self.held[name] = drill, [day for day in days if day <= facts["last"]]
        elif kind == "lost":
            self.lost |= {
                (drill, facts["day"]) for drill in ([facts["drill"]] if "drill" in facts else DRILLS)
            }

    def change(self, what: str) -> None:
        """Change the list or the season's file under the promises."""
        clerk = self.clerk
        if what == "list acres":
            clerk.edit("A", row("A", asked="2027-03-01", acres="30"))
        elif what == "list far":
            clerk.edit("F", row("F", asked="2027-02-01").replace("44.250,-95.750", "45.100,-95.750"))
        elif what == "list gone" and "B" in clerk.rows:
            clerk.edit("B", None)
        elif what == "list back":
            clerk.edit("B", row("B", asked="2027-03-02"))
        elif what == "list window":
            clerk.edit("C", row("C", asked="2027-03-03", ready="2027-05-24"))
        elif what == "list new":
            clerk.edit("Z", row("Z", asked="2027-01-01", until="2027-05-08"))
        elif what == "file terms":
            path = clerk.folder / "season.toml"
            text = path.read_text(encoding="utf-8")
            path.write_text(
                text.replace('"80 %"', '"60 %"').replace('"45 min"', '"15 min"'), encoding="utf-8"
            )


@settings(
    max_examples=14,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(lines=st.lists(COMMANDS, min_size=4, max_size=12))
def test_no_sequence_of_commands_breaks_a_promise(
    lines: list[str], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Drill and days of everybody who said yes, after each command; the odds by the binomial distribution, of one fieldwork
    day among the days that were not lost.
    """
    clerk = Clerk(tmp_path_factory.mktemp("season") / "spring").season(drills=DRILLS, closes="2027-05-26")
    clerk.list(*(row(name, asked=f"2027-03-0{k}") for k, name in enumerate(NAMES, start=1))).does("plan")
    promises = Promises(clerk)
    for line in lines:
        taken = True
        if line.startswith(("list", "file")):
            promises.change(line)
        else:
            taken = clerk.run(line) == 0
            assert taken or line.startswith("record"), clerk.err
            assert taken or "Traceback" not in clerk.err
        if line.startswith("rain"):
            _in_rain(clerk, promises)
        found = clerk.bookings()
        bookings = {name: (str(one["drill"]), list(one["days"])) for name, one in found.items()}
        if taken and line.startswith("record"):
            promises.take(line, bookings)
        for name, (drill, days) in promises.held.items():
            assert bookings[name] == (drill, days), (line, name)
            assert found[name]["confirmed"]
            left = sum((drill, day) not in promises.lost for day in days)
            assert found[name]["odds_prob"] == pytest.approx(odds_of(left, 1)), (line, name)
        days_taken = [(drill, day) for drill, days in bookings.values() for day in days]
        assert len(days_taken) == len(set(days_taken)), line
        free = {name: one for name, one in found.items() if name not in promises.held}
        assert (
            not {(str(one["drill"]), day) for one in free.values() for day in one["days"]} & promises.lost
        )


def _in_rain(clerk: Clerk, promises: Promises) -> None:
    """Rain says the same of everybody who said yes, and names whoever fell under the odds that were promised."""
    again = clerk.json("rain --today 2027-05-03")
    changes = {one["request"]: one for one in again["changes"]}
    for name, (drill, days) in promises.held.items():
        assert (changes[name]["now"]["drill"], changes[name]["now"]["days"]) == (drill, days)
        inside = [day for day in days if (drill, day) in promises.lost]
        assert any(one["request"] == name for one in again["lowered"]) == bool(inside)
