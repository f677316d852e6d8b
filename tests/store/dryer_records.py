"""A probe log with its correction, and checks of which one is corrected and one taken out."""

import datetime as dt
from dataclasses import replace

from laydown.documents.probe_log import read_probe_log
from laydown.documents.probe_log_mapping import guess_mapping
from laydown.documents.probe_log_sheet import probe_sheet
from laydown.domain.probe_check import CheckKind, ProbeCheck
from laydown.domain.probe_log import ProbeConditions
from laydown.store import files, probe_checks, probe_logs

MORNING = dt.datetime(2026, 12, 2, 7, 30, tzinfo=dt.UTC)
FILE = "Zeit (s);Links °C;Rechts °C\n0;24,5;24\n1;24,6;\n2;80,5;79\n".encode()
DRYER = "Kiln Lane gas"
CONDITIONS = ProbeConditions(
    dryer=DRYER,
    garment="Quayside tee white",
    date=dt.date(2026, 12, 2),
    setting=603.15,
    speed=1 / 15,
    film=1e-4,
    note="wire 3 broken, é",
)


def fill_dryer(store):
    """Write something into every table of the dryer."""
    mapping, _ = guess_mapping(probe_sheet(FILE, where="log.csv"))
    with store.write(who="Ünal") as tx:
        kept, new = probe_logs.add(
            tx, key="probe-log-1", name="log.csv", content=FILE, mapping=mapping, conditions=CONDITIONS
        )
        assert new
        probe_logs.add(
            tx,
            key="probe-log-2",
            name="log.csv",
            content=FILE,
            mapping=mapping,
            conditions=replace(CONDITIONS, setting=613.15),
            replaces=kept.id,
        )
        numbers = []
        for i, kelvin in enumerate((433.15, 434.15, 343.15, 435.0)):
            check = ProbeCheck(
                machine=DRYER,
                kind=CheckKind.PEAK,
                value=kelvin,
                happened_at=MORNING + dt.timedelta(days=i),
                anew=i == 1,
            )
            numbers.append(probe_checks.add(tx, check, key=f"check-000{i}")[0])
        wrong, odd = numbers[2], numbers[3]
        probe_checks.add(tx, replace(wrong.check, value=434.15), key="check-0004", replaces=wrong.id)
        probe_checks.add(tx, odd.check, key="check-0005", replaces=odd.id, aside=True)


def kept_dryer(tx):
    """Whether everything stands there as it was written."""
    (log,) = probe_logs.of_dryer(tx, DRYER)
    assert log.conditions == replace(CONDITIONS, setting=613.15)
    assert log.replaces == probe_logs.get(tx, log.replaces).id
    assert files.content(tx, log.file_sha256) == FILE
    assert read_probe_log(FILE, where=log.name, mapping=log.mapping).channels[1].times == (0.0, 2.0)
    checks = probe_checks.of_machine(tx, DRYER, CheckKind.PEAK)
    assert [one.check.value for one in checks] == [433.15, 434.15, 434.15]
    assert [one.check.anew for one in checks] == [False, True, False]
    assert checks[2].made_by == "Ünal"
    return True
