"""The stock file over three invented seasons: every lot closes to the ounce, whatever jobs draw and give back."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from fieldplan.errors import InputError
from fieldplan.jobfile.stock import read_stock
from fieldplan.records.stock import append, undo
from fieldplan.units import OUNCE_KG, POUND_KG

LOTS = (("oats", "QF-1"), ("oats", "QF-2"), ("little bluestem", "LB-1"))
STEPS = st.lists(
    st.tuples(
        st.sampled_from(("bought", "drawn", "drawn", "returned", "discarded", "counted", "moved", "undo")),
        st.sampled_from(LOTS),
        st.integers(1, 800),  # ounces
        st.integers(0, 20),  # days since the row before
        st.sampled_from(("north 2027", "south 2027", "north 2028")),
    ),
    min_size=6,
    max_size=24,
)


@settings(max_examples=20, deadline=None)
@given(seasons=st.tuples(STEPS, STEPS, STEPS), kilograms=st.booleans())
def test_three_seasons_close_to_the_ounce(
    seasons: tuple[list[tuple[str, tuple[str, str], int, int, str]], ...], kilograms: bool
) -> None:
    """A ledger kept in whole ounces beside the file: what it refuses is refused, and what is left agrees."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "stock.csv"
        left, held = dict.fromkeys(LOTS, 0), {}  # type: ignore[var-annotated]
        before: list[tuple[dict[tuple[str, str], int], dict[object, int]]] = []
        for year, steps in enumerate(seasons):
            day = date(2027 + year, 3, 1)
            for kind, lot, ounces, later, job in steps:
                day += timedelta(days=later)
                if kind == "undo":
                    if before:
                        undo(path)
                        left, held = before.pop()
                    continue
                weight = f"{ounces * OUNCE_KG:.6f} kg" if kilograms else f"{ounces} oz"
                row = {"day": day.isoformat(), "what": kind, "species": lot[0], "lot": lot[1]}
                row |= {} if kind == "moved" else {"weight": weight}
                row |= {"job": job} if kind in ("drawn", "returned") else {}
                then = {
                    "bought": left[lot] + ounces,
                    "drawn": left[lot] - ounces,
                    "returned": left[lot] + ounces,
                    "discarded": left[lot] - ounces,
                    "counted": ounces,
                    "moved": left[lot],
                }[kind]
                has = held.get((lot, job), 0) + {"drawn": ounces, "returned": -ounces}.get(kind, 0)
                text = path.read_bytes() if path.exists() else b""
                if then < 0 or has < 0:
                    try:
                        append(path, [row])
                    except InputError:
                        assert (path.read_bytes() if path.exists() else b"") == text
                        continue
                    raise AssertionError(f"{kind} of {ounces} oz should have been refused")
                append(path, [row])
                before.append((dict(left), dict(held)))
                left[lot], held[lot, job] = then, has
        if not before:
            return
        for shelf in read_stock(path).lots:
            assert abs(shelf.left_kg - left[shelf.species, shelf.lot] * OUNCE_KG) < OUNCE_KG / 100
            total = shelf.bought_kg + shelf.returned_kg + shelf.counted_kg
            assert abs(total - shelf.drawn_kg - shelf.discarded_kg - shelf.left_kg) < 1e-9
            for job, kg in shelf.by_job.items():
                assert abs(kg - held[(shelf.species, shelf.lot), job] * OUNCE_KG) < OUNCE_KG / 100
        assert sum(left.values()) * OUNCE_KG < 1e6 * POUND_KG
