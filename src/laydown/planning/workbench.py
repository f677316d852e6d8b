"""What all prints of an order share while they are planned: the cloth, the samples, the searches of dryer and flash."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.order import Order, Print
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput
from laydown.models.bleed_pooling import finding_for
from laydown.models.cloth import Cloth, describe_cloth
from laydown.models.sampling import SampleSet, conditioned, sample_set
from laydown.planning.dryer_settings import SettingsFinder
from laydown.planning.flash_settings import FlashFinder
from laydown.planning.job import Job
from laydown.planning.rules.check import check_rules
from laydown.planning.wanted import resolve_inks


@dataclass(frozen=True, slots=True, kw_only=True)
class Workbench:
    """Cloth, samples and searches of one order."""

    shop: Shop
    order: Order
    cloth: Cloth
    samples: SampleSet
    dryers: SettingsFinder
    flashes: FlashFinder
    laydown_model: str

    def job(
        self, print_: Print, *, passages: int, first_print: bool, at_stake: float = 0.0
    ) -> tuple[Job, tuple[str, ...]]:
        """Job of one print, and notes on its colours; the parameters are those of `laydown.planning.job.Job`."""
        wanted, said = resolve_inks(self.shop, print_, condition=self.shop.preferences.condition)
        job = Job(
            shop=self.shop,
            order=self.order,
            print_=print_,
            cloth=self.cloth,
            wanted=wanted,
            samples=self.samples,
            dryers=self.dryers,
            flashes=self.flashes,
            passages=passages,
            first_print=first_print,
            laydown_model=self.laydown_model,
            at_stake=at_stake,
        )
        return job, said


def workbench(shop: Shop, order: Order, *, samples: int, seed: int, laydown_model: str) -> Workbench:
    """Lay out what an order's prints share; refuses a shop without presses, dryers or with rules that say nothing."""
    check_rules(shop.rules)
    for what, shelf, file in (("press", shop.presses, "presses.toml"), ("dryer", shop.dryers, "dryers.toml")):
        if not shelf:
            raise InvalidInput(f"there is no {what} on the shelf; a plan needs at least one", where=file)
    finding = finding_for(shop, order.garment)
    cloth = describe_cloth(order.garment, condition=shop.preferences.condition, finding=finding)
    drawn = sample_set(samples, seed=seed)
    if finding is not None:
        drawn = conditioned(drawn, finding, seed=seed)
    return Workbench(
        shop=shop,
        order=order,
        cloth=cloth,
        samples=drawn,
        dryers=SettingsFinder(cloth, shop.climate, drawn, risk=order.requirements.risk),
        flashes=FlashFinder(cloth, shop.climate, drawn, risk=order.requirements.risk),
        laydown_model=laydown_model,
    )
