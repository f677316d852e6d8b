"""Probe logs and checks are only added to, once each, and corrected by naming the old one."""

import datetime as dt
from dataclasses import replace

import pytest
from dryer_records import CONDITIONS, DRYER, FILE, MORNING, fill_dryer, kept_dryer

from laydown.documents.probe_log_mapping import guess_mapping
from laydown.documents.probe_log_sheet import probe_sheet
from laydown.domain.probe_check import CheckKind, ProbeCheck
from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store import probe_checks, probe_logs

MAPPING, _ = guess_mapping(probe_sheet(FILE, where="log.csv"))
CHECK = ProbeCheck(machine=DRYER, kind=CheckKind.PEAK, value=433.15, happened_at=MORNING)


def add_log(tx, key="probe-log-9", conditions=CONDITIONS, **more):
    return probe_logs.add(tx, key=key, name="log.csv", content=FILE, mapping=MAPPING, conditions=conditions, **more)


def test_what_is_written_stands_there(store):
    fill_dryer(store)
    with store.read() as tx:
        assert kept_dryer(tx)
        assert probe_logs.of_dryer(tx, "another") == ()
        assert probe_checks.of_machine(tx, DRYER, CheckKind.BELT) == ()


def test_what_is_sent_twice_is_kept_once_and_another_thing_under_its_key_is_refused(store):
    with store.write(who="ann") as tx:
        first, new = add_log(tx)
        again, anew = add_log(tx)
        assert (new, anew, again) == (True, False, first)
        with pytest.raises(Conflict, match="another log has this key"):
            add_log(tx, conditions=replace(CONDITIONS, setting=500.0))
        check, new = probe_checks.add(tx, CHECK, key="check-9999")
        again, anew = probe_checks.add(tx, CHECK, key="check-9999")
        assert (new, anew, again) == (True, False, check)
        with pytest.raises(Conflict, match="another check has this key"):
            probe_checks.add(tx, replace(CHECK, value=434.0), key="check-9999")


def test_a_correction_names_the_old_one_once_and_of_the_same_machine(store):
    with store.write(who="ann") as tx:
        log, _ = add_log(tx)
        corrected, _ = add_log(tx, key="probe-log-10", replaces=log.id)
        with pytest.raises(Conflict, match=f"corrected by ann already, by log {corrected.id}"):
            add_log(tx, key="probe-log-11", replaces=log.id)
        with pytest.raises(InvalidInput, match="is of Kiln Lane gas, not of other"):
            add_log(tx, key="probe-log-12", conditions=replace(CONDITIONS, dryer="other"), replaces=corrected.id)
        with pytest.raises(NotFound):
            add_log(tx, key="probe-log-13", replaces=99)
        check, _ = probe_checks.add(tx, CHECK, key="check-9990")
        with pytest.raises(InvalidInput, match="not of the belt of"):
            probe_checks.add(tx, replace(CHECK, kind=CheckKind.BELT, value=0.06), key="check-9991", replaces=check.id)
        with pytest.raises(InvalidInput, match="which check is taken out"):
            probe_checks.add(tx, CHECK, key="check-9992", aside=True)
        with pytest.raises(NotFound):
            probe_checks.add(tx, CHECK, key="check-9993", replaces=99)
        probe_checks.add(tx, CHECK, key="check-9994", replaces=check.id, aside=True)
        with pytest.raises(Conflict, match="corrected by ann already"):
            probe_checks.add(tx, CHECK, key="check-9995", replaces=check.id)
        assert probe_checks.of_machine(tx, DRYER, CheckKind.PEAK) == ()
        assert probe_logs.of_dryer(tx, DRYER) == (corrected,)


def test_a_log_put_aside_is_no_longer_among_the_dryers_logs(store):
    with store.write(who="ann") as tx:
        log, _ = add_log(tx)
        add_log(tx, key="probe-log-20", replaces=log.id, aside=True)
        assert probe_logs.of_dryer(tx, DRYER) == ()


def test_a_key_that_is_too_short_is_refused(store):
    with store.write(who="ann") as tx:
        with pytest.raises(InvalidInput, match="too few characters"):
            add_log(tx, key="short")
        with pytest.raises(InvalidInput, match="too few characters"):
            probe_checks.add(tx, CHECK, key="short")


@pytest.mark.parametrize(
    ("kind", "value"), [(CheckKind.PEAK, 700.0), (CheckKind.BELT, 0.0), (CheckKind.PANEL, float("nan"))]
)
def test_a_check_that_no_gauge_reads_is_no_record(kind, value):
    with pytest.raises(InvalidInput, match="allowed is"):
        ProbeCheck(machine=DRYER, kind=kind, value=value, happened_at=MORNING)


def test_a_check_names_its_time_zone():
    with pytest.raises(InvalidInput, match="time zone"):
        ProbeCheck(machine=DRYER, kind=CheckKind.PEAK, value=433.0, happened_at=dt.datetime(2026, 1, 1))  # noqa: DTZ001
