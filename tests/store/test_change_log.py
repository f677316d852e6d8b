"""The log is only ever added to."""

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from laydown.store import change_log

REFUSED = ["UPDATE change_log SET who = 'nobody'", "DELETE FROM change_log", "DELETE FROM change_log WHERE id = 1"]


@pytest.fixture
def logged(store):
    for who in ("ann", "ben", "ann"):
        with store.write(who=who) as tx:
            tx.log("add", "thing", f"of {who}", before={"a": 1}, after={"a": 2})
    return store


@pytest.mark.parametrize("statement", REFUSED)
def test_no_line_is_changed_or_removed(logged, statement):
    with pytest.raises(DBAPIError, match="only ever added to"), logged.write(who="eve") as tx:
        tx.connection.execute(text(statement))
    with logged.read() as tx:
        assert [line.who for line in change_log.lines(tx)] == ["ann", "ben", "ann"]


def test_the_whole_log_is_not_emptied_on_postgresql(logged):
    if logged.kind != "postgresql":
        pytest.skip("SQLite has no TRUNCATE")
    with pytest.raises(DBAPIError, match="only ever added to"), logged.write(who="eve") as tx:
        tx.connection.execute(text("TRUNCATE change_log"))


def test_lines_are_found_by_who_and_what_the_newest_first(logged):
    with logged.read() as tx:
        lines = change_log.lines(tx)
        assert [line.id for line in lines] == sorted((line.id for line in lines), reverse=True)
        assert [line.key for line in change_log.lines(tx, who="ben")] == ["of ben"]
        assert change_log.lines(tx, kind="thing", key="of ann") == (lines[0], lines[2])
        assert change_log.lines(tx, before=lines[0].id, limit=1) == (lines[1],)
        assert (lines[0].before, lines[0].after) == ({"a": 1}, {"a": 2})
        assert lines[0].at.utcoffset().total_seconds() == 0


def test_a_change_that_is_undone_leaves_no_line(logged):
    def break_off():
        with logged.write(who="eve") as tx:
            tx.log("add", "thing", "x")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        break_off()
    with logged.read() as tx:
        assert len(change_log.lines(tx)) == 3
