"""Keys of a job file that have a clearer name today are still read under the older one."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import SAMPLES

from fieldplan.errors import JobFileError
from fieldplan.jobfile.load import load_job
from fieldplan.jobfile.schema import SCHEMA
from fieldplan.model.job import Job

NOW = {
    'turning_radius = "20 ft"': 'turning_radius = "20 ft"\nreverse = false',
    'fieldwork_day_chance = "55 %"': 'fieldwork_day_chance = "48 %"\nuncertainty = "12 %"',
    'volume = "24 ft3"': 'volume = "24 ft3"\nresidual = "7 %"',
}
OLDER = {
    "reverse": "reverse_turns",
    "fieldwork_day_chance": "fit_day_chance",
    "uncertainty": "spread",
    "residual": "least",
}


def _text(*, older: bool) -> str:
    text = (SAMPLES / "farm.toml").read_text(encoding="utf-8")
    for line, lines in NOW.items():
        assert line in text
        text = text.replace(line, lines)
    for key, before in OLDER.items() if older else ():
        text = text.replace(f"{key} =", f"{before} =")
    return text


def _job(folder: Path, text: str) -> Job:
    path = folder / "job.toml"
    path.write_text(text.replace("rates.toml", str(SAMPLES / "rates.toml")), encoding="utf-8")
    return load_job(path)


def test_a_job_file_with_older_names_is_the_same_job(tmp_path: Path) -> None:
    """Values, and what is noted of them."""
    now, older = (_job(tmp_path, _text(older=older)) for older in (False, True))
    assert older == now
    assert now.booking.fieldwork_day_prob == pytest.approx(0.48)
    assert now.drill.reverse == "never"
    assert now.booking.uncertainty_frac == pytest.approx(0.12)
    assert (now.drill.boxes[0].min_frac, now.drill.boxes[0].min_assumed) == (pytest.approx(0.07), False)


def test_every_older_name_is_tried_here() -> None:
    """No older name is without a test."""
    assert {
        key: spec.older for keys in SCHEMA.values() for key, spec in keys.items() if spec.older
    } == OLDER


@pytest.mark.parametrize("key", OLDER)
def test_a_key_under_both_names_is_refused(key: str, tmp_path: Path) -> None:
    """Nobody can know which of two values counts."""
    text = _text(older=False).replace(f"{key} =", f'{OLDER[key]} = "20 %"\n{key} =', 1)
    with pytest.raises(JobFileError) as raised:
        _job(tmp_path, text)
    (problem,) = raised.value.problems
    assert (problem.code, problem.key, problem.values["older"]) == ("key-twice", key, OLDER[key])
    assert f"{key} is also given by its older name, {OLDER[key]}" in problem.text
    assert problem.hint == f"keep {key} and leave {OLDER[key]} out"


def test_an_unlikely_value_may_be_meant_by_the_older_name(tmp_path: Path) -> None:
    """A file that silences a warning by the older name still does."""
    text = _text(older=True).replace('"48 %"', '"5 %"')
    assert [note.code for note in _job(tmp_path, text).notes if note.warning] == ["unlikely"]
    text = text.replace("fit_day_chance =", 'meant = ["fit_day_chance"]\nfit_day_chance =')
    assert not [note for note in _job(tmp_path, text).notes if note.warning]


def test_a_value_that_cannot_be_read_is_named_as_typed_and_cured_by_the_name_of_today(
    tmp_path: Path,
) -> None:
    """The first is what one searches for in the file, the second what one writes instead."""
    with pytest.raises(JobFileError) as raised:
        _job(tmp_path, _text(older=True).replace('spread = "12 %"', 'spread = "wide"'))
    (problem,) = raised.value.problems
    assert problem.key == "spread"
    assert problem.hint.startswith('uncertainty = "')
