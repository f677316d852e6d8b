"""The fits of dryers and flash units against an independent sampler of the same posterior."""

import pytest
from probe_emcee_cases import CASES, fit_of, names_of

from reference_tables import reference_rows


@pytest.mark.parametrize("case", CASES)
def test_coefficients_and_their_spread_are_those_of_an_independent_sampler(case):
    rows = {row["quantity"]: row for row in reference_rows("probe_fit_emcee") if row["case"] == case}
    fit, data = fit_of(case)
    names = names_of(data)

    assert set(rows) == set(names)
    for name, place in names.items():
        row, sd = rows[name], fit.covariance[place, place] ** 0.5
        assert fit.z[place] == pytest.approx(float(row["mean_expected"]), abs=float(row["mean_tolerance"])), name
        assert sd == pytest.approx(float(row["sd_expected"]), abs=float(row["sd_tolerance"])), name
