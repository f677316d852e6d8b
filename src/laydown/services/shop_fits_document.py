"""A fit of the shop's own numbers as plain data: what the store keeps, programs read and pages show."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from laydown.domain.quantity import Quantity
from laydown.lab.reading_check import by_pull

MIDDLE = 17
"""Band at 550 nm."""

if TYPE_CHECKING:
    from laydown.services.shop_fits import FitSheet


def document_of_fit(found: FitSheet) -> dict[str, Any]:
    """Fit as JSON; lengths in m, masses in kg, shares of one, K and S in 1/m.

    Returns
    -------
    dict
        ``quantities`` (name to ``prior`` and ``posterior`` with ``low``, ``value``, ``high``; ``prior`` None where
        nothing was thought before), ``checks`` (the reading that pulls most first), ``warnings``, ``curves`` (name to
        rows), ``source``.
    """
    fit: Any = found.fit
    if fit is None:
        return {"quantities": {}, "checks": [], "warnings": [], "curves": {}, "source": ""}
    quantities, curves = _parts(found.kind, fit)
    return {
        "quantities": {
            name: {"prior": _three(prior), "posterior": _three(posterior)} for name, prior, posterior in quantities
        },
        "checks": [
            {name: getattr(one, name) for name in type(one).__dataclass_fields__} for one in by_pull(fit.checks)
        ],
        "warnings": list(fit.warnings),
        "curves": curves,
        "source": found.source,
    }


def _parts(kind: str, fit: Any) -> tuple[list[tuple[str, Quantity | None, Quantity]], dict[str, Any]]:
    if kind == "transfer":
        return [("transfer", fit.prior, fit.transfer), ("scatter", None, fit.scatter)], {}
    if kind == "tone":
        rows = [
            {"film": film, "print": printed, "low": low, "high": high}
            for (film, printed), (low, high) in zip(fit.rows, fit.band, strict=True)
        ]
        return [("gain at half tone", fit.prior_gain, fit.gain)], {"tone": rows}
    low, value, high = (float(one) for one in fit.scattering[MIDDLE])
    scattering = Quantity(
        value=value, low=low, high=high, grade=fit.contrast_ratio.grade, source=fit.contrast_ratio.source
    )
    named: list[tuple[str, Quantity | None, Quantity]] = [
        ("S at 550 nm", fit.prior_scattering, scattering),
        ("contrast ratio at 25.4 µm", None, fit.contrast_ratio),
    ]
    named += [(f"thickness of film {n}", None, one) for n, one in enumerate(fit.thickness, start=1)]
    bands = [
        {"nm": 380 + 10 * band}
        | dict(zip(("k_low", "k", "k_high"), map(float, fit.absorption[band]), strict=True))
        | dict(zip(("s_low", "s", "s_high"), map(float, fit.scattering[band]), strict=True))
        for band in range(len(fit.absorption))
    ]
    return named, {"spectra": bands}


def _three(quantity: Quantity | None) -> dict[str, float] | None:
    if quantity is None:
        return None
    return {"low": quantity.low, "value": quantity.value, "high": quantity.high}
