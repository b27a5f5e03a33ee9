"""Changes to the tables of a job file: values in, tables out, nothing else touched.

A table is named by its place: ``("drill",)``, ``("drill", "box", 0)``, ``("mix", 1, "component", 2)`` or
``("field", "north")``. A number is the place in a list of tables.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from fieldplan.errors import Problem
from fieldplan.facts import Fact
from fieldplan.jobfile.plausible import MEANT
from fieldplan.jobfile.schema import names_now
from fieldplan.model.notes import Note

Place = tuple[str | int, ...]
Tables = Mapping[str, Any]
Spot = tuple[Place, str]
"""A box of the form: the table and the key; the key is empty for the table as a whole."""
_LISTS = ("box", "chart", "component")


def schema_name(place: Place) -> str:
    """The name of a table in the schema of job files.

    Examples
    --------
    >>> schema_name(("mix", 1, "component", 2)), schema_name(("field", "north"))
    ('mix.component', 'field')
    """
    return "field" if place[0] == "field" else ".".join(part for part in place if isinstance(part, str))


def table_at(tables: Tables, place: Place) -> Mapping[str, Any]:
    """The table at a place; an empty one if there is none."""
    found: Any = tables
    for part in place:
        if isinstance(part, int):
            found = found[part] if isinstance(found, Sequence) and part < len(found) else {}
        else:
            found = found.get(part, {}) if isinstance(found, Mapping) else {}
    return found if isinstance(found, Mapping) else {}


def value_at(tables: Tables, place: Place, key: str) -> Any:
    """The value of a key, also where it stands under the name that the key had before; ``None`` if it is not given."""
    given = table_at(tables, place)
    older = next((name for name, now in names_now(schema_name(place)).items() if now == key), "")
    return given.get(key, given.get(older) if older else None)


def rows_at(tables: Tables, place: Place) -> list[Any]:
    """The list of tables at a place such as ``("drill", "box")``."""
    found = table_at(tables, place[:-1]).get(str(place[-1]), [])
    return list(found) if isinstance(found, list) else [found]


def with_value(tables: Tables, place: Place, key: str, value: Any) -> dict[str, Any]:
    """The tables with the value of a key; ``None`` takes the key away.

    A table that is left empty goes too, unless it is one of a list.
    """
    given = dict(table_at(tables, place))
    older = next((name for name, now in names_now(schema_name(place)).items() if now == key), "")
    if value is None:
        given.pop(key, None)
        given.pop(older, None)
    elif older in given:
        given = {
            key if name == older else name: value if name == older else was for name, was in given.items()
        }
    else:
        given[key] = value
    return _changed(tables, place, given)


def with_row(tables: Tables, place: Place, row: Mapping[str, Any]) -> dict[str, Any]:
    """The tables with one more at the end of the list at a place such as ``("mix",)``."""
    return _changed(tables, place, [*rows_at(tables, place), dict(row)])


def without_row(tables: Tables, place: Place) -> dict[str, Any]:
    """The tables without one of a list, such as ``("drill", "box", 0)``."""
    rows = rows_at(tables, place[:-1])
    return _changed(tables, place[:-1], [row for k, row in enumerate(rows) if k != place[-1]])


def with_table(tables: Tables, place: Place, table: Mapping[str, Any]) -> dict[str, Any]:
    """The tables with another table in the place of one; an empty one takes it away."""
    return _changed(tables, place, dict(table))


def renamed(tables: Tables, place: Place, name: str) -> dict[str, Any]:
    """The tables with another name of a box or a mix, here and wherever it is named.

    Nothing that names it is changed if the new name is blank, or another box or mix has the old name too.
    """
    old = value_at(tables, place, "name")
    changed = with_value(tables, place, "name", name or None)
    same = sum(
        1 for row in rows_at(tables, place[:-1]) if isinstance(row, Mapping) and row.get("name") == old
    )
    if not isinstance(old, str) or not old or not name.strip() or same > 1:
        return changed
    return renamed_in(changed, place[:-1], old, name)


def renamed_in(tables: Tables, listed: Place, old: str, name: str) -> dict[str, Any]:
    """The tables with a new name wherever a box (``("drill", "box")``) or a mix (``("mix",)``) is named by its old one."""
    changed = dict(tables)
    if listed == ("mix",):
        for field_id in table_at(changed, ("field",)):
            if value_at(changed, ("field", field_id), "mix") == old:
                changed = with_value(changed, ("field", field_id), "mix", name)
        return changed
    of_box = (
        *components(changed),
        *(("drill", "chart", k) for k in range(len(rows_at(changed, ("drill", "chart"))))),
    )
    for place in of_box:
        if value_at(changed, place, "box") == old:
            changed = with_value(changed, place, "box", name)
    return changed


def confirmed(tables: Tables, place: Place, key: str) -> dict[str, Any]:
    """The tables with a key confirmed as meant, however unlikely its value."""
    given = table_at(tables, place).get(MEANT, [])
    known = [given] if isinstance(given, str) else list(given) if isinstance(given, list) else []
    return with_value(tables, place, MEANT, [*known, key] if key not in known else known)


def components(tables: Tables) -> tuple[Place, ...]:
    """The places of all components of all mixes."""
    return tuple(
        ("mix", m, "component", c)
        for m in range(len(rows_at(tables, ("mix",))))
        for c in range(len(rows_at(tables, ("mix", m, "component"))))
    )


def labels(tables: Tables) -> dict[str, tuple[Place, ...]]:
    """What messages of the job file's checker call each table, and the places that are called so.

    Tables with the same name are called the same; what is said of one is shown at each.
    """
    found: dict[str, list[Place]] = {}
    for name in ("drill", "tractor", "working", "loading", "booking", "weather", "cost", "seed_law"):
        found[name] = [(name,)]
    for k, box in enumerate(rows_at(tables, ("drill", "box")), start=1):
        found.setdefault(f"drill.box {_called(box, 'name', k)}", []).append(("drill", "box", k - 1))
    for k in range(len(rows_at(tables, ("drill", "chart")))):
        found[f"drill.chart line {k + 1}"] = [("drill", "chart", k)]
    for m, mix in enumerate(rows_at(tables, ("mix",)), start=1):
        label = f"mix {_called(mix, 'name', m)}"
        found.setdefault(label, []).append(("mix", m - 1))
        for c, row in enumerate(rows_at(tables, ("mix", m - 1, "component")), start=1):
            of_row = f"{label}, component {_called(row, 'species', c)}"
            found.setdefault(of_row, []).append(("mix", m - 1, "component", c - 1))
    for field_id in table_at(tables, ("field",)):
        found[f"field.{field_id}"] = [("field", field_id)]
    return {label: tuple(places) for label, places in found.items()}


def _called(row: object, key: str, number: int) -> object:
    return row.get(key, number) if isinstance(row, Mapping) else number


def by_spot(
    tables: Tables, said: Iterable[Problem | Note], files: Mapping[str, Spot] | None = None
) -> dict[Spot, list[Problem | Note]]:
    """Problems and notes by the box of the form that they are about; ``((), "")`` is the job as a whole.

    Parameters
    ----------
    tables, said
        The tables, and what the job file's checker says of them.
    files
        Files that the job names, with the box that names each: what is wrong in a file is said there.
    """
    called = labels(tables)
    found: dict[Spot, list[Problem | Note]] = {}
    for one in said:
        file = one.file if isinstance(one, Problem) else ""
        of_file = [spot for name, spot in (files or {}).items() if file.endswith(f"/{name}")]
        for spot in of_file or _spots(one, called):
            found.setdefault(spot, []).append(one)
    return found


def _spots(one: Fact, called: Mapping[str, tuple[Place, ...]]) -> Iterator[Spot]:
    if one.code == "mix-unknown" and "field" in one.values:
        yield ("field", str(one.values["field"])), "mix"
        return
    if isinstance(one, Problem):
        label, key = one.about.removeprefix("[").removesuffix("]"), one.key
    else:
        label, key = str(one.values.get("table", "")), str(one.values.get("key", ""))
    places = called.get(label, ())
    if not places and isinstance(one, Problem) and one.code == "table-missing":
        places = ((one.case or "job",),)
    for place in places:
        yield place, names_now(schema_name(place)).get(key, key) if place[0] != "job" else ""
    if not places:
        yield (), ""


def _changed(tables: Tables, place: Place, new: Any) -> dict[str, Any]:
    """The tables with something else at a place."""
    return dict(_put(tables, place, new))


def _put(tables: Any, place: Place, new: Any) -> Any:
    """What stands at a place replaced in copies of all that it stands in; empty tables and lists go."""
    head, rest = place[0], place[1:]
    if isinstance(head, int):
        rows = list(tables) if isinstance(tables, list) else [tables]
        rows[head] = _put(rows[head], rest, new) if rest else new
        return rows
    changed = dict(tables) if isinstance(tables, Mapping) else {}
    below = changed.get(head, [] if rest and isinstance(rest[0], int) else {})
    below = _put(below, rest, new) if rest else new
    if below in ({}, []):
        changed.pop(head, None)
    else:
        changed[str(head)] = below
    return changed
