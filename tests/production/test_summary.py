import pytest

from production_records import costs, order, produced

RATES = costs(ink_waste=0.1, spoilage=0.03)


def test_the_slower_of_press_and_dryer_rules():
    slow_dryer, slow_press = produced(RATES, belt_speed=0.03), produced(RATES, belt_speed=0.1, flash_seconds=(20.0,))

    assert slow_dryer.bottleneck == "dryer"
    assert slow_dryer.rate == slow_dryer.dryer_rate == pytest.approx(0.04, rel=1e-12)
    assert slow_press.bottleneck == "press"
    assert slow_press.rate == slow_press.press_rate == pytest.approx(1 / 21.5, rel=1e-12)


def test_production_adds_up():
    result = produced(RATES, order_=order(quantity=200))

    assert sum(seconds for _, seconds in result.cycle_terms) == pytest.approx(result.cycle_time, rel=1e-12)
    assert result.press_rate * result.cycle_time == pytest.approx(1.0, rel=1e-12)
    assert result.run_time == pytest.approx(200 * 1.03 / result.rate, rel=1e-12)
    assert result.set_up_time == 2 * 540.0
    assert [(a.ink, a.role) for a in result.inks] == [("white", "underbase"), ("red", "colour")]
    assert result.inks[0].total == pytest.approx(200 / 0.9 * 1.03 * 0.105 * 60e-6 * 1300, rel=1e-12)
