"""Sample the posterior of twelve invented swatches with emcee, an independent sampler, and write down what it finds.

    python tools/lab/emcee_reference.py [FIRST_CASE LAST_CASE]

Writes tests/reference/bleed_fit_emcee.csv, which the tests hold the fit against; takes about a quarter of an hour on
two cores. Run it again when the bleed model, its priors or the likelihood change.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

REFERENCE = ROOT / "tests" / "reference" / "bleed_fit_emcee.csv"
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
WALKERS, STEPS, BURN = 64, 2400, 800


def sampled(case: int) -> list[dict[str, str]]:
    """Rows of one case."""
    import emcee

    from lab.emcee_cases import problem_of, quantities_of
    from laydown.lab.problem import FARTHEST, FITTED

    problem = problem_of(case)
    d = len(FITTED)
    rng = np.random.default_rng(case)
    np.random.seed(case)  # noqa: NPY002 - emcee draws from the legacy state

    def log_posterior(points: np.ndarray) -> np.ndarray:
        # Far out, where early proposals wander, the models refuse the inputs; the posterior has no weight there.
        squares = (points**2).sum(axis=1)
        near = (np.abs(points).max(axis=1) <= FARTHEST) & (squares < 4 * d)
        found = np.full(len(points), -np.inf)
        if near.any():
            found[near] = problem.log_likelihood(points[near]) - 0.5 * squares[near]
        return found

    moves = [(emcee.moves.DEMove(), 0.7), (emcee.moves.DESnookerMove(), 0.1), (emcee.moves.StretchMove(), 0.2)]
    sampler = emcee.EnsembleSampler(WALKERS, d, log_posterior, moves=moves, vectorize=True)
    sampler.run_mcmc(rng.standard_normal((WALKERS, d)), STEPS)
    chain = sampler.get_chain(discard=BURN)
    found = quantities_of(chain.reshape(-1, d))
    rows = []
    for name, values in found.items():
        lengths = emcee.autocorr.integrated_time(values.reshape(chain.shape[:2])[..., None], tol=0)
        effective = values.size / float(lengths[0])
        rows.append(
            {
                "case": str(case),
                "quantity": name,
                "mean_expected": f"{values.mean():.4f}",
                "mean_tolerance": "",
                "sd_expected": f"{values.std():.4f}",
                "sd_tolerance": "",
                "source": f"emcee {emcee.__version__}",
                "place": f"{WALKERS} walkers, {STEPS - BURN} steps, worth {effective:.0f} independent draws",
                "grade": "worked example",
            }
        )
    return rows


def with_tolerances(rows: list[dict[str, str]], draws: float) -> list[dict[str, str]]:
    """Set what chance allows: four standard errors of both samplers together.

    The fit's means have a standard error of sd/sqrt(draws), its sds one of about sd/sqrt(2 draws) where the posterior
    is normal; half as much again for tails that are heavier. emcee's own error adds in squares.
    """
    for row in rows:
        own = float(row["place"].split("worth ")[1].split(" ")[0])
        sd = float(row["sd_expected"])
        row["mean_tolerance"] = f"{4 * sd * np.sqrt(1 / draws + 1 / own):.4f}"
        row["sd_tolerance"] = f"{4 * 1.5 * sd * np.sqrt(0.5 / draws + 0.5 / own):.4f}"
    return rows


def main() -> None:
    """Write the reference."""
    first, last = (int(a) for a in sys.argv[1:3]) if len(sys.argv) > 2 else (0, 11)
    for case in range(first, last + 1):
        found = with_tolerances(sampled(case), draws=200.0)
        # Read late: another process may have written other cases meanwhile.
        rows: list[dict[str, str]] = []
        if REFERENCE.exists():
            with REFERENCE.open(encoding="utf-8") as file:
                rows = [row for row in csv.DictReader(file) if int(row["case"]) != case]
        rows += found
        print(
            "case",
            case,
            *(f"{r['quantity']}: {r['mean_expected']} +- {r['sd_expected']}; {r['place']}" for r in rows[-3:]),
        )
        with REFERENCE.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
            writer.writeheader()
            writer.writerows(sorted(rows, key=lambda row: int(row["case"])))


if __name__ == "__main__":
    main()
