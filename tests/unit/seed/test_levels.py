"""How full a box is at most."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from fieldplan.seed.levels import highest_levels_kg


def test_the_highest_level_is_after_one_of_the_pourings() -> None:
    """5 kg in the box, 20 poured in, 15 sown on 1,500 m² (10 left), 25 poured in: 35 at most, not 25."""
    legs = [
        SimpleNamespace(kind="pass", sown=True, length_m=300.0),
        SimpleNamespace(kind="turn", sown=False, length_m=40.0),
        SimpleNamespace(kind="pass", sown=True, length_m=200.0),
        SimpleNamespace(kind="refill", sown=False, length_m=0.0),
        SimpleNamespace(kind="pass", sown=True, length_m=800.0),
    ]
    field: Any = SimpleNamespace(
        supply=SimpleNamespace(
            legs=legs, first_load_kg={"grain": 20.0}, refills=[SimpleNamespace(load_kg={"grain": 25.0})]
        ),
        coverage=SimpleNamespace(drill_width_m=3.0),
        seed=SimpleNamespace(boxes=[SimpleNamespace(box="grain", load_kg_per_m2=0.01)]),
        box_changes=[
            SimpleNamespace(box="grain", kind="tip back", kg=5.0),
            SimpleNamespace(box="grain", kind="empty first", kg=9.0),
        ],
    )
    assert highest_levels_kg(field) == {"grain": pytest.approx(35.0)}
