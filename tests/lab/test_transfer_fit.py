"""Garments weighed before and after printing tell the share of ink that leaves the screen."""

import dataclasses
import math

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from laydown.domain.quantity import Grade, Quantity
from laydown.errors import InvalidInput
from laydown.lab.reading_check import by_pull
from laydown.lab.transfer_fit import SCATTERS, USUAL_SCATTER, Weighing, fit_transfer
from reference_tables import reference_rows


def spread(value, percent):
    share = percent / 100
    return Quantity(value=value, low=value / (1 + share), high=value * (1 + share), grade=Grade.MAKER, source="test")


def weighing(label, gain, **change):
    good = Weighing(
        label=label,
        before=0.15,
        after=0.15 + gain,
        area=0.105,
        screen="43/80",
        ink="white",
        volume=Quantity.exact(55e-6, Grade.MEASURED, "test"),
        density=Quantity.exact(1300.0, Grade.MEASURED, "test"),
    )
    return dataclasses.replace(good, **change)


@pytest.mark.parametrize("row", reference_rows("transfer_weighing"))
def test_prints_of_the_trade_s_mass_give_the_share_of_the_volume_that_the_references_name(row):
    gain = float(row["mass_g"]) / 1000
    change = {
        "area": float(row["area_m2"]),
        "volume": Quantity.exact(float(row["theoretical_volume_um"]) * 1e-6, Grade.MEMORY, "data sheets"),
        "density": Quantity.exact(1000 * float(row["density_g_per_ml"]), Grade.WORKED, "references"),
    }

    fit = fit_transfer([weighing(f"shirt {i}", gain, **change) for i in range(8)])

    assert fit.transfer.value == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))
    assert fit.transfer.grade is Grade.MEASURED
    assert (fit.prior.low, fit.prior.high) == (0.33, 1.0)


def test_the_posterior_is_that_of_bayes_rule_on_a_grid():
    weighings = [
        weighing("a", 5.2e-3, volume=spread(55e-6, 8)),
        weighing("b", 5.5e-3, volume=spread(55e-6, 8), balance=2e-4),
        weighing("c", 2.0e-3, screen="120/34", volume=spread(16e-6, 10), density=spread(1300.0, 3)),
        weighing("d", 7.9e-3, hits=2, volume=spread(55e-6, 8)),
    ]
    fit = fit_transfer(weighings)

    # Bayes' rule by brute force, with the shared errors written out as a covariance.
    z = 1.6448536269514722
    sd = {"a": math.log(1.08) / z, "b": math.log(1.08) / z, "c": math.log(1.10) / z, "d": math.log(1.08) / z}
    hits = {"a": 0.0, "b": 0.0, "c": 0.0, "d": math.log(1.8 / 1.3) / (2 * z)}
    n = {"a": 1, "b": 1, "c": 1, "d": 1.5}
    screens = {"a": 0, "b": 0, "c": 1, "d": 0}
    shared = np.array(
        [[sd[i] * sd[j] * (screens[i] == screens[j]) + hits[i] * hits[j] for j in "abcd"] for i in "abcd"]
    )
    shared[2, 2] += (math.log(1.03) / z) ** 2
    balance = [2 * (w.balance / w.gain) ** 2 for w in weighings]
    y = [math.log(w.gain / (1300 * 0.105 * w.volume.value * n[w.label])) for w in weighings]
    t = np.linspace(math.log(0.3), math.log(1.3), 200)
    log = np.array(
        [
            [
                multivariate_normal.logpdf(y, mean=np.full(4, lt), cov=shared + np.diag(balance) + s**2 * np.eye(4))
                - 0.5 * (s / USUAL_SCATTER) ** 2
                + math.log(s)
                for lt in t
            ]
            for s in SCATTERS[::3]
        ]
    )
    log += -0.5 * ((t - math.log(math.sqrt(0.33))) / (math.log(1 / 0.33) / (2 * z))) ** 2
    density = np.exp(log - log.max()).sum(axis=0)
    cumulated = np.cumsum(density) / density.sum()
    low, middle, high = (math.exp(np.interp(share, cumulated, t)) for share in (0.05, 0.5, 0.95))

    assert fit.transfer.value == pytest.approx(middle, rel=0.005)
    assert fit.transfer.low == pytest.approx(low, rel=0.01)
    assert fit.transfer.high == pytest.approx(high, rel=0.01)


def test_nine_of_ten_true_transfers_lie_in_the_interval():
    rng = np.random.default_rng(7)
    z, inside, foretold, all_ = 1.6448536269514722, 0, 0, 0
    for _ in range(80):
        true = math.exp(rng.normal(math.log(math.sqrt(0.33)), math.log(1 / 0.33) / (2 * z)))
        scatter = abs(rng.normal(0, USUAL_SCATTER))
        error = rng.normal(0, math.log(1.08) / z)
        gains = 1300 * 0.105 * 55e-6 * true * np.exp(error + scatter * rng.normal(size=4))
        fit = fit_transfer([weighing(str(i), float(g), volume=spread(55e-6, 8)) for i, g in enumerate(gains)])
        inside += fit.transfer.low <= true <= fit.transfer.high
        foretold += sum(check.low <= check.reading <= check.high for check in fit.checks)
        all_ += len(fit.checks)

    # Three standard deviations of a proportion of 0.9 in 80 and in 320 (readings of one fit hang together).
    assert 0.80 <= inside / 80 <= 1.0
    assert 0.83 <= foretold / all_ <= 0.97


def test_what_weighings_share_does_not_average_out():
    few = fit_transfer([weighing(str(i), 5e-3, volume=spread(55e-6, 10)) for i in range(4)])
    many = fit_transfer([weighing(str(i), 5e-3, volume=spread(55e-6, 10)) for i in range(40)])
    other = fit_transfer([weighing(str(i), 5e-3, screen=str(i), volume=spread(55e-6, 10)) for i in range(40)])

    assert many.transfer.spread > 0.9 * few.transfer.spread
    assert other.transfer.spread < 0.4 * many.transfer.spread


def test_an_odd_weighing_is_told_and_pulls_most():
    fit = fit_transfer(
        [*(weighing(f"shirt {i}", 5e-3 * (1 + 0.01 * (i % 3))) for i in range(6)), weighing("wet shirt", 9e-3)]
    )

    assert by_pull(fit.checks)[0].label == "wet shirt"
    (sentence,) = [s for s in fit.warnings if "wet shirt" in s]
    assert sentence.startswith("wet shirt reads 9, but the others foretell ")


def test_an_answer_outside_the_prior_is_told():
    fit = fit_transfer([weighing(str(i), 2e-3) for i in range(10)])

    assert any("lies outside what was thought before, 33 to 100 %" in sentence for sentence in fit.warnings)


def test_one_weighing_is_enough_and_says_that_it_is_little():
    fit = fit_transfer([weighing("only one", 5e-3)])

    assert fit.transfer.spread < fit.prior.spread
    assert any("fewer than three" in sentence for sentence in fit.warnings)
    # Nothing but the prior foretells it: 33 to 100 % of 7.5 g, a little wider by the scatter.
    assert fit.checks[0].low == pytest.approx(2.48e-3, rel=0.05)
    assert fit.checks[0].high == pytest.approx(7.51e-3, rel=0.05)


def test_a_second_fit_starts_where_the_first_ended():
    first = fit_transfer([weighing(str(i), 5e-3) for i in range(4)])
    second = fit_transfer([weighing(str(i), 5e-3) for i in range(4)], prior=first.transfer)

    assert second.prior == first.transfer
    assert second.transfer.spread < first.transfer.spread


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"after": 0.15}, "weighs no more after printing than before"),
        ({"area": 0.0}, "area of a is 0"),
        ({"hits": 0}, "hits of a is 0"),
        ({"before": -1.0}, "mass of a before printing is -1"),
    ],
)
def test_a_weighing_cannot_be_in_a_wrong_state(change, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        weighing("a", 5e-3, **change)


def test_weighings_that_give_no_transfer_are_refused():
    with pytest.raises(InvalidInput, match="at least one"):
        fit_transfer([])
    with pytest.raises(InvalidInput, match="labels must differ"):
        fit_transfer([weighing("a", 5e-3), weighing("a", 5e-3)])
    with pytest.raises(InvalidInput, match="possible are 5 to 150 %: check areas and masses"):
        fit_transfer([weighing(str(i), 5e-3, area=0.005) for i in range(9)])
