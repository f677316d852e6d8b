"""A tone strip tells the shop's dot gain, and how sure it is."""

import numpy as np
import pytest

from laydown.domain.costs import Practice
from laydown.errors import InvalidInput
from laydown.lab.tone_fit import TonePatch, fit_tone, tone_by_murray_davies
from reference_tables import reference_rows

PUBLISHED = [(float(r["film_percent"]) / 100, float(r["expected"]) / 100) for r in reference_rows("dot_gain")]


def patches(pairs):
    return [TonePatch(label=f"{100 * film:g} % no. {i}", film=film, printed=p) for i, (film, p) in enumerate(pairs)]


def test_the_published_strip_lies_within_its_own_band_and_fits_a_shop_s_practice():
    fit = fit_tone(patches(PUBLISHED))

    assert Practice(tone_strip=fit.rows).tone_strip == fit.rows
    for (film, printed), (low, high), row in zip(sorted(PUBLISHED), fit.band, fit.rows, strict=True):
        assert row[0] == film
        # Half a per cent of rounding in the published tones, and the scatter that the fit finds.
        assert low - 0.005 - 1.7 * fit.scatter <= printed <= high + 0.005 + 1.7 * fit.scatter


def test_published_patches_are_foretold_by_the_others():
    checks = fit_tone(patches(PUBLISHED)).checks

    inside = sum(check.low <= check.reading <= check.high for check in checks)
    # 13.5 of 15 are expected; fewer than 11 would happen in one of 75 strips.
    assert inside >= 11


def test_nine_of_ten_true_curves_lie_in_the_band():
    rng = np.random.default_rng(5)
    film = np.linspace(0.05, 0.95, 10)
    inside = []
    for _ in range(40):
        gain, bend, scatter = rng.normal(0.10, 0.08), rng.normal(0, 0.03), abs(rng.normal(0, 0.015))
        true = np.maximum.accumulate(np.clip(film + 4 * film * (1 - film) * (gain + bend * np.cos(6 * film)), 0, 1))
        read = np.clip(true + scatter * rng.standard_normal(10), -0.1, 1.1)
        fit = fit_tone(patches(zip(film, read, strict=True)))
        low, high = np.array(fit.band).T
        inside.append(np.mean((low - 1e-9 <= true) & (true <= high + 1e-9)))

    assert 0.82 <= np.mean(inside) <= 1.0


def test_the_curve_never_falls_whatever_is_read():
    rng = np.random.default_rng(1)
    fit = fit_tone(patches(zip(np.linspace(0, 1, 12), rng.uniform(0, 1, 12), strict=True)))

    assert all(a[1] <= b[1] for a, b in zip(fit.rows, fit.rows[1:], strict=False))
    Practice(tone_strip=fit.rows)


def test_a_patch_that_was_misread_is_told():
    good = [(t, t + 0.4 * t * (1 - t)) for t in np.linspace(0.1, 0.9, 9)]
    good[4] = (0.5, 0.85)

    fit = fit_tone(patches(good))

    assert any(sentence.startswith("50 % no. 4 reads 85, but the others foretell") for sentence in fit.warnings)


def test_repeats_narrow_the_gain_and_start_from_the_prior():
    once = [(t, t + 0.4 * t * (1 - t)) for t in (0.25, 0.5, 0.75)]
    few, many = fit_tone(patches(once)), fit_tone(patches(once * 5))

    assert many.gain.spread < few.gain.spread < few.prior_gain.spread
    assert many.gain.value == pytest.approx(0.1, abs=0.01)


def test_murray_davies_finds_the_share_that_was_mixed():
    paper, solid = np.linspace(0.7, 0.9, 36), np.linspace(0.05, 0.6, 36)

    for tone in (0.0, 0.13, 0.5, 1.0):
        assert tone_by_murray_davies(paper + tone * (solid - paper), paper, solid) == pytest.approx(tone, abs=1e-12)
    assert tone_by_murray_davies(0.5, 0.9, 0.1) == pytest.approx(0.5)


def test_what_cannot_be_fitted_is_refused():
    with pytest.raises(InvalidInput, match="at least 3 different tones on the film, not 2"):
        fit_tone(patches([(0.2, 0.3), (0.2, 0.31), (0.5, 0.6)]))
    with pytest.raises(InvalidInput, match="labels must differ"):
        fit_tone(patches([(0.2, 0.3)]) * 3)
    with pytest.raises(InvalidInput, match="look alike"):
        tone_by_murray_davies([0.5] * 3, [0.5] * 3, [0.51] * 3)
    with pytest.raises(InvalidInput, match="must be alike"):
        tone_by_murray_davies([0.5] * 3, [0.5] * 2, [0.1] * 3)
    with pytest.raises(InvalidInput, match="film tone of x is 40"):
        TonePatch(label="x", film=40, printed=0.5)
