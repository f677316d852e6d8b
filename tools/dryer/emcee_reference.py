"""Sample the posterior of invented probe logs with emcee, an independent sampler, and write down what it finds.

    python tools/dryer/emcee_reference.py [CASE ...]

Writes tests/reference/probe_fit_emcee.csv, which the tests hold the fits of dryers and flash units against; takes some
minutes. Run it again when the heat model, the priors or the sensor change.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests" / "lab")]

REFERENCE = ROOT / "tests" / "reference" / "probe_fit_emcee.csv"
COLUMNS = (
    "case",
    "quantity",
    "mean_expected",
    "mean_tolerance",
    "sd_expected",
    "sd_tolerance",
    "source",
    "place",
    "grade",
)
WALKERS, STEPS, BURN = 48, 1600, 500

ALLOWED = 0.25
"""How far a Gaussian about the best point may be from the posterior's mean and spread, in its deviations."""


def sampled(case: str) -> list[dict[str, str]]:
    """Rows of one case; the tolerance is what is allowed plus four standard errors of the sampler."""
    import emcee
    from probe_emcee_cases import fit_of, log_posterior, names_of

    fit, data = fit_of(case)
    d = fit.z.size
    rng = np.random.default_rng(9)
    np.random.seed(9)  # noqa: NPY002 - emcee draws from the legacy state
    moves = [(emcee.moves.DEMove(), 0.7), (emcee.moves.DESnookerMove(), 0.1), (emcee.moves.StretchMove(), 0.2)]
    sampler = emcee.EnsembleSampler(WALKERS, d, log_posterior(data), moves=moves, vectorize=True)
    # Walkers begin spread out as the prior says in part, so that they find the posterior on their own.
    sampler.run_mcmc(fit.z + 0.3 * rng.standard_normal((WALKERS, d)), STEPS)
    chain = sampler.get_chain(discard=BURN)
    rows = []
    for name, place in names_of(data).items():
        values = chain[:, :, place]
        draws = values.size / float(emcee.autocorr.integrated_time(values[..., None], tol=0)[0])
        mean, sd = float(values.mean()), float(values.std())
        rows.append(
            {
                "case": case,
                "quantity": name,
                "mean_expected": f"{mean:.4f}",
                "mean_tolerance": f"{sd * (ALLOWED + 4 / np.sqrt(draws)):.4f}",
                "sd_expected": f"{sd:.4f}",
                "sd_tolerance": f"{sd * (ALLOWED + 4 * 1.5 / np.sqrt(2 * draws)):.4f}",
                "source": f"emcee {emcee.__version__}",
                "place": f"{WALKERS} walkers, {STEPS - BURN} steps, worth {draws:.0f} independent draws",
                "grade": "worked example",
            }
        )
    return rows


def main() -> None:
    """Write the reference."""
    from probe_emcee_cases import CASES

    wanted = sys.argv[1:] or list(CASES)
    for case in wanted:
        found = sampled(case)
        rows: list[dict[str, str]] = []
        if REFERENCE.exists():
            with REFERENCE.open(encoding="utf-8") as file:
                rows = [row for row in csv.DictReader(file) if row["case"] != case]
        rows = sorted([*rows, *found], key=lambda row: CASES.index(row["case"]))
        with REFERENCE.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
        print(
            case, *(f"{row['quantity']}: {row['mean_expected']} +- {row['sd_expected']}" for row in found), sep="\n  "
        )


if __name__ == "__main__":
    main()
