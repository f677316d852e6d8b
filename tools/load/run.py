"""Let people read and write in a served shop, tell how long pages take, and look for every confirmed write.

    .venv/bin/python tools/load/run.py                        # 50 readers, 10 writers, a minute, SQLite
    .venv/bin/python tools/load/run.py --postgresql           # the same on a server of its own
    .venv/bin/python tools/load/run.py --short                # a few people for a few seconds, from a cold start

The visitors run on the same machine as the app and take their share of its processors.
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parents[1] / "tests" / "store")]

import httpx2  # noqa: E402 - the folders of this tool come first
from found import wrong_in  # noqa: E402
from shop import PLANNED, Numbers, make_shop, names_of  # noqa: E402
from told import told  # noqa: E402
from visitors import Seen, Visitor  # noqa: E402


def main() -> None:
    """Run one measurement and print it as a table."""
    said = _arguments()
    with tempfile.TemporaryDirectory(prefix="laydown-load-") as name, _database(Path(name), said.postgresql) as url:
        print("making the shop", file=sys.stderr)
        planned = PLANNED[:1] if said.short else PLANNED
        numbers = make_shop(url, season=said.season, readers=said.readers, writers=said.writers, planned=planned)
        with _served(Path(name), url) as (base, process):
            seen, used = asyncio.run(_visit(base, process, numbers, said))
        wrong = wrong_in(url, seen, numbers.open)
    print(told(seen, used, wrong, said))
    sys.exit(1 if seen.errors or wrong else 0)


async def _visit(
    base: str, process: int, numbers: Numbers, said: argparse.Namespace
) -> tuple[Seen, dict[str, tuple[float, ...]]]:
    await _ready(base, process, warm=not said.short)
    seen = Seen()
    readers, writers = names_of(said.readers, said.writers)
    people = [
        Visitor(base, name, numbers, seen, think=said.think, seed=number)
        for number, name in enumerate((*readers, *writers))
    ]
    one_by_one = asyncio.Semaphore(2)

    async def enter(person: Visitor) -> None:
        async with one_by_one:
            await person.log_in()

    await asyncio.gather(*(enter(person) for person in people))
    load = [os.getloadavg()[0]]
    before = _used(process)
    until = time.monotonic() + said.seconds
    work = [person.read(until) for person in people[: said.readers]]
    work += [person.write(until) for person in people[said.readers :]]
    await asyncio.gather(*work)
    used = {name: (after - before[name],) for name, after in _used(process).items()}
    return seen, used | {"load": (load[0], os.getloadavg()[0])}


async def _ready(base: str, process: int, *, warm: bool) -> None:
    """Wait until the app answers and has warmed up: a shop is not opened in the minute of the measurement."""
    async with httpx2.AsyncClient(base_url=base) as client:
        for _ in range(600):
            with contextlib.suppress(httpx2.HTTPError):
                if (await client.get("/health")).status_code == 200:
                    break
            await asyncio.sleep(0.1)
        else:
            raise SystemExit("the app does not answer")
    if not warm:
        return
    quiet, last = 0, 0.0
    until = time.monotonic() + 240
    while quiet < 6 and time.monotonic() < until:
        await asyncio.sleep(0.5)
        now = sum(_cpu(one) for one in _family(process))
        quiet, last = (quiet + 1 if now - last < 0.05 else 0), now


def _used(process: int) -> dict[str, float]:
    return {"app": sum(_cpu(one) for one in _family(process)), "visitors": time.process_time()}


def _family(process: int) -> list[int]:
    found = [process]
    for one in found:
        with contextlib.suppress(OSError):
            for thread in Path(f"/proc/{one}/task").iterdir():
                found += [int(child) for child in (thread / "children").read_text().split()]
    return found


def _cpu(process: int) -> float:
    with contextlib.suppress(OSError):
        parts = Path(f"/proc/{process}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
        return (int(parts[11]) + int(parts[12])) / os.sysconf("SC_CLK_TCK")
    return 0.0


@contextlib.contextmanager
def _database(folder: Path, postgresql: bool) -> Iterator[str]:
    if not postgresql:
        yield f"sqlite:///{folder}/laydown.sqlite"
        return
    import psycopg
    from postgresql_server import server

    with server(durable=True) as address:
        with psycopg.connect(address.format(name="postgres"), autocommit=True) as connection:
            connection.execute("CREATE DATABASE laydown")
        yield address.format(name="laydown")


@contextlib.contextmanager
def _served(folder: Path, url: str) -> Iterator[tuple[str, int]]:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port = one.getsockname()[1]
    program = Path(sys.executable).with_name("laydown")
    command = [str(program), "serve", "--data", str(folder), "--database", url, "--port", str(port), "--login"]
    with (folder / "log.txt").open("wb") as log:
        process = subprocess.Popen(command, stdout=log, stderr=log)
        try:
            yield f"http://127.0.0.1:{port}", process.pid
        finally:
            process.terminate()
            process.wait(30)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--readers", type=int, default=50)
    parser.add_argument("--writers", type=int, default=10)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--think", type=float, default=1.0, help="mean seconds between an answer and the next page")
    parser.add_argument("--season", type=int, default=120, help="orders beside those of the demo shop")
    parser.add_argument("--postgresql", action="store_true", help="on a PostgreSQL server of its own")
    parser.add_argument("--short", action="store_true", help="5 readers, 2 writers, 4 seconds, 4 orders")
    said = parser.parse_args()
    if said.short:
        said.readers, said.writers, said.seconds, said.season, said.think = 5, 2, 4.0, 4, 0.3
    return said


if __name__ == "__main__":
    main()
