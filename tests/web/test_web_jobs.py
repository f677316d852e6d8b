"""Long work is done by another process; its crash costs one piece, which says so."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time

import pytest
from web_clients import client_of, post, store_of

from laydown.services import job_kinds, job_worker, jobs, opening
from laydown.services.job_kinds import JobKind
from laydown.store import change_log, orders, plans
from laydown.store import jobs as kept_jobs
from laydown.web.settings import Settings
from laydown.web.worker import DATABASE, NAME


@pytest.fixture
def store(client):
    return store_of(client)


def with_kind(monkeypatch, work):
    """Let the worker know one kind of work of a test's own."""
    monkeypatch.setattr(job_kinds, "JOB_KINDS", (*job_kinds.JOB_KINDS, JobKind("test", "A test", work)))


def done(store, *, leave=None):
    """Claim the work that waits and do it in this process."""
    job = job_worker._claimed(store, "worker of the tests")
    job_worker.do_job(store, job, **({"leave": leave} if leave else {}))
    return jobs.find(store, job.id)


@pytest.mark.slow
def test_a_plan_is_made_and_kept_with_what_it_rests_on(store):
    with store.read() as tx:
        order = orders.find(tx, text="brewery")[0][0]
    asked = jobs.ask_for_plan(store, order.id, who="Lea", reason="first try")
    told = done(store)
    assert (told.id, told.state, told.progress) == (asked.id, "done", 1.0)
    assert told.result == {"order": order.id, "number": 1}
    with store.read() as tx:
        plan = plans.get(tx, order.id, 1)
        assert (plan.made_by, plan.reason, plan.order_version) == ("Lea", "first try", 1)
        assert json.loads(plans.text(tx, plan))["order"]["name"] == order.name
        assert plans.rests_on(tx, plan)[0] == opening.current_shop(store)
        assert orders.get(tx, order.id).state == "planned"


@pytest.mark.slow
def test_the_bar_moves_while_stacks_are_tried_and_calling_off_is_heard_between_two(store):
    from laydown.services.job_plan import plan_version
    from laydown.services.job_progress import Progress, Stopped

    class Watched(Progress):
        """Calls the work off once three of ten parts are done."""

        def __init__(self):
            super().__init__()
            self.shares = []

        def __call__(self, message, share=None):
            self.shares.append(share)
            if share > 0.3:
                self.stop()
            super().__call__(message, share)

    with store.read() as tx:
        order = orders.find(tx, text="brewery")[0][0]
    jobs.ask_for_plan(store, order.id, who="Lea")
    job = job_worker._claimed(store, "worker of the tests")
    progress = Watched()
    with pytest.raises(Stopped):
        plan_version(store, job, progress)

    assert len(progress.shares) > 10
    assert progress.shares == sorted(progress.shares)
    assert progress.shares[-1] == min(share for share in progress.shares if share > 0.3)
    with store.read() as tx:
        assert plans.of_order(tx, order.id) == ()


def test_an_order_that_cannot_be_read_fails_with_its_sentence(store):
    with store.write(who="tests") as tx:
        text = orders.version(tx, orders.find(tx, text="brewery")[0][0].id, 1).text
        order = orders.add(tx, text.replace('inks = ["white"]', 'inks = ["no such ink"]'))
    jobs.ask_for_plan(store, order.id, who="Lea")
    told = done(store)
    assert told.state == "failed"
    assert "no such ink" in told.message


def test_an_unforeseen_error_fails_the_piece_without_a_trace(store, monkeypatch):
    def broken(_store, _job, _progress):
        raise ZeroDivisionError("inside")

    with_kind(monkeypatch, broken)
    jobs.submit(store, "test", {}, who="Lea")
    told = done(store)
    assert told.state == "failed"
    assert "ZeroDivisionError" in told.message
    assert "inside" not in told.message


def test_progress_is_told_while_it_works(store, monkeypatch):
    seen = []

    def slow(_store, job, progress):
        progress("stirring", 0.4)
        until = time.monotonic() + 20
        while time.monotonic() < until and not seen:
            time.sleep(0.1)
            told = jobs.find(store, job.id)
            seen.extend([told] if told.progress == 0.4 else [])
        return {"cups": 2}

    with_kind(monkeypatch, slow)
    jobs.submit(store, "test", {}, who="Lea")
    told = done(store)
    assert seen[0].message == "stirring"
    assert (told.state, told.result) == ("done", {"cups": 2})


def test_work_that_listens_stops_when_called_off(store, monkeypatch):
    begun = threading.Event()

    def listening(_store, _job, progress):
        begun.set()
        until = time.monotonic() + 30
        while time.monotonic() < until:
            progress("round and round")
            time.sleep(0.05)
        return {}

    with_kind(monkeypatch, listening)
    asked = jobs.submit(store, "test", {}, who="Lea")
    ended = []
    thread = threading.Thread(target=lambda: ended.append(done(store)))
    thread.start()
    assert begun.wait(10)
    jobs.cancel(store, asked.id, who="Olga")
    thread.join(20)
    assert ended[0].state == "cancelled"


def test_work_that_does_not_listen_is_ended_with_its_process(store, monkeypatch):
    over = threading.Event()
    left = []

    def deaf(_store, _job, _progress):
        over.wait(30)
        return {}

    def leave(status):
        left.append(status)
        over.set()

    monkeypatch.setattr(job_worker, "PATIENCE_S", 0.1)
    with_kind(monkeypatch, deaf)
    asked = jobs.submit(store, "test", {}, who="Lea")
    thread = threading.Thread(target=lambda: done(store, leave=leave))
    thread.start()
    while jobs.find(store, asked.id).state != "running":
        time.sleep(0.05)
    jobs.cancel(store, asked.id, who="Olga")
    thread.join(20)
    assert left[0] == job_worker.STUCK
    assert jobs.find(store, asked.id).state == "cancelled"


def test_what_was_given_up_leaves_nothing_behind(store, monkeypatch):
    def late(store, job, _progress):
        with store.write(who="tests") as tx:
            kept_jobs.fail(tx, job.id, kept_jobs.LOST)
        with store.write(who="tests") as tx:
            tx.log("late", "test", "result")
            kept_jobs.finish(tx, job.id, {})
        return {}

    with_kind(monkeypatch, late)
    jobs.submit(store, "test", {}, who="Lea")
    assert done(store).message == kept_jobs.LOST
    with store.read() as tx:
        assert not change_log.lines(tx, kind="test")


def test_what_a_dead_worker_was_doing_fails_and_says_so_and_nothing_else_does(store):
    for worker in ("dead", "alive"):
        jobs.submit(store, "plan", {"order": 1, "version": 1}, who="Lea")
        with store.write(who="worker") as tx:
            kept_jobs.claim(tx, worker)
    waiting = jobs.submit(store, "plan", {"order": 1, "version": 1}, who="Lea")
    (lost,) = job_worker.give_up(store, "dead")
    assert (lost.state, lost.message) == ("failed", kept_jobs.LOST)
    assert [job.worker for job in jobs.recent(store, states=("running",))] == ["alive"]
    assert jobs.find(store, waiting.id).state == "waiting"


def test_a_page_shows_progress_and_the_end(client, store):
    asked = jobs.submit(store, "plan", {"order": 1, "version": 1}, who="Lea")
    page = client.get(f"/jobs/{asked.id}")
    assert "Waiting for its turn" in page.text
    assert f'hx-get="/jobs/{asked.id}/state"' in page.text
    assert post(client, f"/jobs/{asked.id}/cancel", f"/jobs/{asked.id}").status_code == 303
    ended = client.get(f"/jobs/{asked.id}/state")
    assert "called off" in ended.text
    assert "hx-get" not in ended.text
    assert post(client, f"/jobs/{asked.id}/cancel").status_code == 422
    assert client.get("/jobs/999999").status_code == 404


def until(condition, seconds):
    """Wait for something to become true."""
    end = time.monotonic() + seconds
    while not (found := condition()):
        assert time.monotonic() < end, "it took too long"
        time.sleep(0.2)
    return found


@pytest.mark.slow
def test_a_killed_worker_costs_one_piece_and_another_takes_its_place(tmp_path, demo_database):
    import shutil

    shutil.copy(demo_database, tmp_path / "laydown.sqlite")
    with client_of(Settings(data=tmp_path)) as client:
        store, keeper = store_of(client), client.app.state.laydown.worker
        first = until(lambda: keeper.process, 10)
        asked = jobs.submit(store, "plan", {"order": 1, "version": 1}, who="Lea")
        until(lambda: jobs.find(store, asked.id).state == "running", 120)
        os.kill(first.pid, signal.SIGKILL)
        told = until(lambda: (job := jobs.find(store, asked.id)).state != "running" and job, 30)
        assert (told.state, told.message) == ("failed", kept_jobs.LOST)
        second = until(lambda: keeper.process if keeper.process.pid != first.pid else None, 30)
        again = jobs.ask_for_plan(store, 1, who="Lea")
        assert until(lambda: (job := jobs.find(store, again.id)).state in jobs.FINAL and job, 200).state == "done"
        assert second.poll() is None
    assert second.wait(10) is not None


@pytest.mark.slow
def test_a_worker_ends_when_the_app_that_started_it_is_gone(demo_database):
    environment = os.environ | {DATABASE: str(demo_database), NAME: "orphan"}
    command = [sys.executable, "-m", "laydown.web.worker"]
    worker = subprocess.Popen(command, stdin=subprocess.PIPE, env=environment)
    time.sleep(3)
    assert worker.poll() is None
    worker.stdin.close()
    assert worker.wait(10) == 0
