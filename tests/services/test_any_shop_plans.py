"""Whatever shelves and orders hold, as long as their records are valid: a plan, or one sentence."""

import random

import pytest
from any_shop import Draw

from laydown.errors import InvalidInput, LaydownError
from laydown.services.planning import plan_order


def plan_or_sentence(seed):
    owner, asked = Draw(random.Random(seed)).shop_and_order()
    try:
        return plan_order(owner, asked, samples=8)
    except LaydownError as error:
        return error


def hold(seed):
    found = plan_or_sentence(seed)
    if isinstance(found, LaydownError):
        # Only shelves can lack something; no number of a valid record may be one too many for a model.
        assert isinstance(found, InvalidInput)
        assert "the ink shelf holds no white" in str(found) or "no screen in the rack suits" in str(found)
        return
    for one in found.prints:
        if one.stack is None:
            assert one.shortfalls
            assert all(s.by and s.remedy for s in one.shortfalls)
        else:
            assert one.why
            assert 0 <= one.confidence <= 1
        assert all(r.reason for r in one.rejected)


@pytest.mark.parametrize("seed", range(12))
def test_any_valid_shop_and_order_give_a_plan_or_one_sentence(seed):
    hold(seed)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1000, 1300))
def test_many_valid_shops_and_orders_give_a_plan_or_one_sentence(seed):
    hold(seed)
