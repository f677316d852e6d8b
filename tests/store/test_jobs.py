"""Long work: taken by one worker each, stopped when asked, given up when its worker is gone."""

import datetime as dt
from concurrent.futures import ThreadPoolExecutor

import pytest

from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store import jobs

NOW = dt.timedelta(0)


@pytest.fixture
def job(store):
    with store.write(who="ann") as tx:
        return jobs.add(tx, "plan", {"order": 3})


def test_work_goes_from_waiting_to_done(store, job):
    with store.write(who="worker") as tx:
        assert (job.state, job.request, job.made_by) == ("waiting", {"order": 3}, "ann")
        assert jobs.claim(tx, "w1", kinds=("art",)) is None
        taken = jobs.claim(tx, "w1", kinds=("art", "plan"))
        assert (taken.id, taken.state, taken.worker) == (job.id, "running", "w1")
        assert not jobs.report(tx, job.id, progress=0.5, message="half\x00way")
        assert (jobs.get(tx, job.id).progress, jobs.get(tx, job.id).message) == (0.5, "half way")
        done = jobs.finish(tx, job.id, {"plan": 1})
        assert (done.state, done.result, done.progress) == ("done", {"plan": 1}, 1.0)
        assert jobs.claim(tx, "w1") is None
        assert jobs.recent(tx, states=("done",)) == (done,)


def test_no_two_workers_get_the_same_work(store):
    with store.write(who="ann") as tx:
        made = [jobs.add(tx, "plan", {}).id for _ in range(40)]

    def work(name):
        taken = []
        while True:
            with store.write(who="worker") as tx:
                job = jobs.claim(tx, name)
            if job is None:
                return taken
            taken.append(job.id)

    with ThreadPoolExecutor(4) as pool:
        taken = list(pool.map(work, "abcd"))

    assert sorted(sum(taken, [])) == made  # noqa: RUF017 - four short lists


def test_waiting_work_is_cancelled_at_once_and_running_work_hears_of_it(store, job):
    with store.write(who="ann") as tx:
        other = jobs.add(tx, "plan", {})
        assert jobs.ask_cancel(tx, other.id).state == "cancelled"
        with pytest.raises(InvalidInput, match="cancelled already"):
            jobs.ask_cancel(tx, other.id)
        jobs.claim(tx, "w1")
        assert jobs.ask_cancel(tx, job.id).state == "running"
        assert jobs.report(tx, job.id, progress=2.0)
        assert jobs.stopped(tx, job.id).state == "cancelled"


def test_work_of_a_worker_that_is_gone_fails_and_says_so(store, job):
    with store.write(who="worker") as tx:
        jobs.claim(tx, "w1")
    with store.write(who="web") as tx:
        assert jobs.give_up_lost(tx, silent_for=dt.timedelta(hours=1)) == ()
        lost = jobs.give_up_lost(tx, silent_for=NOW)
        assert [(one.id, one.state, one.message) for one in lost] == [(job.id, "failed", jobs.LOST)]
        for late in (
            lambda: jobs.finish(tx, job.id, {}),
            lambda: jobs.fail(tx, job.id, "x"),
            lambda: jobs.report(tx, job.id, progress=0.1),
        ):
            with pytest.raises(Conflict, match="runs no longer"):
                late()


def test_failed_work_says_why(store, job):
    with store.write(who="worker") as tx:
        jobs.claim(tx, "w1")
        assert jobs.fail(tx, job.id, "the art is damaged").message == "the art is damaged"
        with pytest.raises(NotFound):
            jobs.get(tx, job.id + 1)
