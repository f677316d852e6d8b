"""How often a fit holds on logs of known dryers: ``python tools/dryer/known_dryers.py``.

Prints the table of docs/lab/dryer.md.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).parents[2] / "tests" / "lab")]
from synthetic_probe import CLOTH, FILM, SHOP, THREE, Lane, as_fit_log, draw, written_log  # noqa: E402

from laydown.lab.dryer_curves import TestPiece, run_guess  # noqa: E402
from laydown.lab.dryer_fit import fit_dryer  # noqa: E402

RATIOS = (0.8, 1.25)


def main() -> None:
    """Fit and count."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--cases", type=int, default=60)
    cases = parser.parse_args().cases
    piece = TestPiece(cloth=CLOTH, film=FILM, climate=SHOP.climate)
    print(
        "| dryer | wires | coefficients in their interval | peaks at other belt speeds: rms, 95 %, largest error [K] |"
    )
    print("|---|---|---|---|")
    for dryer in SHOP.dryers:
        for lanes in ((Lane.CENTRE,), THREE):
            inside: list[bool] = []
            errors: list[float] = []
            for case in range(cases):
                rng = np.random.default_rng([7, case])
                truth = draw(dryer, rng, lanes=lanes)
                log, _ = written_log(dryer, truth, rng, lanes=lanes)
                fit = fit_dryer(dryer, SHOP.climate, [as_fit_log(dryer, log, speed=dryer.length / 60)])
                true = {p.key: p.value(float(z)) for p, z in zip(truth.parameters, truth.z[0], strict=True)}
                inside += [one.low <= true[one.key] <= one.high for one in fit.curves.numbers if one.of_dryer]
                for ratio in RATIOS:
                    speed = ratio * dryer.length / 60
                    found, known = (
                        float(
                            run_guess(dryer, g, piece, setting=dryer.setting, speed=speed, start=305.0).interface.max()
                        )
                        for g in (fit.guess, truth)
                    )
                    errors.append(abs(found - known))
            most = np.array(errors)
            print(
                f"| {dryer.name} | {len(lanes)} | {100 * np.mean(inside):.0f} % of {len(inside)} | "
                f"{np.sqrt((most**2).mean()):.1f}, {np.percentile(most, 95):.1f}, {most.max():.1f} |",
                flush=True,
            )


if __name__ == "__main__":
    main()
