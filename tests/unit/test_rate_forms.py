"""Every basis of a rate can be written in a job file, and is read as what it is."""

from __future__ import annotations

from typing import get_args

import pytest

from fieldplan.jobfile.rates import WRITTEN, rate
from fieldplan.model.seed import RATE_FORMS, RateBasis, RateForm


def test_every_basis_has_a_form_and_a_way_to_be_written() -> None:
    """A basis that is added in one place only is a fault, not a share of a full stand."""
    assert set(get_args(RateBasis)) == {form.name for form in RATE_FORMS} == set(WRITTEN)


@pytest.mark.parametrize("form", RATE_FORMS, ids=[form.name for form in RATE_FORMS])
def test_the_example_of_a_form_is_read_as_that_form(form: RateForm) -> None:
    """What hints show can be pasted."""
    assert rate(form.example.strip('"')).basis == form.name
