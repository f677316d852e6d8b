"""Change physics/ one operator, number or name at a time and see whether a test notices.

mutmut leaves decorated functions alone, and numba's decorator is on every kernel. As the tests run with the compiler
off anyway, this works on a copy of the repository in ``build/mutants`` in which the decorators are taken out.
Numbers and names outside of functions are not changed.

Usage: python tools/mutants/run.py [--sample N] [--seed S] [--again] [MODULE ...]
for example: python tools/mutants/run.py mesh heat_kernel

``--sample`` draws that many mutants of each module at random; ``--again`` tries only those that survived before.
Verdicts are kept in ``build/mutants/verdicts.json``, from which the table is made; the survivors of the modules asked
for are written to ``build/mutants/survivors.txt`` with the lines that differ.
"""

from __future__ import annotations

import argparse
import ast
import difflib
import json
import os
import random
import re
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from rule import left_out

ROOT = Path(__file__).parents[2]
COPY = ROOT / "build" / "mutants"
PHYSICS = Path("src") / "laydown" / "physics"
SURVIVORS = COPY / "survivors.txt"
VERDICTS = COPY / "verdicts.json"
DECORATOR = re.compile(r"^@njit\((?:[^()]|\([^()]*\))*\)\n", re.MULTILINE)
ALIVE = {"survived", "no tests"}

# Escaped names, as of tests with a µ in them, are not found again; mutmut would take that for a killed mutant.
UNESCAPED = "disable_test_id_escaping_and_forfeit_all_rights_to_community_support"

CONFIG = """
[tool.mutmut]
source_paths = ["src"]
only_mutate = [{files}]
also_copy = ["README.md", "LICENSE", "docs", "tools"]
pytest_add_cli_args = ["-m", "interpreted and not slow", "-p", "no:cacheprovider", "-o", "{unescaped}=true"]
pytest_add_cli_args_test_selection = ["tests/physics"]
timeout_multiplier = 4.0
"""

Mutants = dict[str, tuple[str, str]]
"""Source of the function before and after, by the name of the mutant."""


def main() -> int:
    """Run mutmut in the copy, tell the score and list the mutants that survived."""
    parser = argparse.ArgumentParser(description="Change physics/ bit by bit and see whether a test notices.")
    parser.add_argument("modules", nargs="*", metavar="MODULE", help="names without .py; all of physics/ when left out")
    parser.add_argument("--sample", type=int, help="mutants to draw of each module")
    parser.add_argument("--seed", type=int, default=1, help="of the draw")
    parser.add_argument("--again", action="store_true", help="only those that survived the last run")
    parser.add_argument("--processes", type=int, default=1, help="mutants tried at once")
    asked = parser.parse_args()

    prepare(asked.modules)
    modules = asked.modules or sorted(path.stem for path in (ROOT / PHYSICS).glob("[!_]*.py"))
    mutants = {module: mutants_of(module) for module in modules}
    known = kept(mutants)
    names = [name for found in mutants.values() for name in found]
    if asked.sample:
        draw = random.Random(asked.seed)
        names = [n for found in mutants.values() for n in draw.sample(sorted(found), min(asked.sample, len(found)))]
    if asked.again:
        names = [name for name in names if known.get(name) in ALIVE]
    status = 0
    if names:
        status, verdicts = mutate(names if asked.sample or asked.again else [], asked.processes)
        known |= {name: verdicts[name] for name in names if verdicts.get(name, "not checked") != "not checked"}
        keep(mutants, known)
    report(mutants, known)
    return status


def mutate(names: list[str], processes: int) -> tuple[int, dict[str, str]]:
    """Run mutmut in the copy on some mutants (or on all, when none is named); its status and its verdicts."""
    environment = os.environ | {"NUMBA_DISABLE_JIT": "1"}
    mutmut = str(Path(sys.executable).parent / "mutmut")
    log = COPY / "mutmut.log"
    print(f"running; progress goes to {log}", flush=True)
    command = [mutmut, "run", "--max-children", str(processes), *names]
    with log.open("wb") as out:  # it draws on one line without end
        status = subprocess.run(command, cwd=COPY, env=environment, stdout=out, stderr=out, check=False).returncode
    if status:
        print(f"mutmut stopped early; the end of {log} says why")
    results = subprocess.run(
        [mutmut, "results", "--all", "true"], cwd=COPY, env=environment, capture_output=True, text=True, check=False
    )
    lines = (line.strip() for line in results.stdout.splitlines())
    return status, {name: verdict for name, _, verdict in (line.rpartition(": ") for line in lines) if name}


def kept(mutants: dict[str, Mutants]) -> dict[str, str]:
    """Verdicts of earlier runs on mutants that are still the same."""
    stored = json.loads(VERDICTS.read_text(encoding="utf-8")) if VERDICTS.exists() else {}
    pairs = {name: pair for found in mutants.values() for name, pair in found.items()}
    return {name: stored[name][0] for name, pair in pairs.items() if name in stored and stored[name][1:] == list(pair)}


def keep(mutants: dict[str, Mutants], verdicts: dict[str, str]) -> None:
    """Store the verdicts beside those on other modules."""
    stored = json.loads(VERDICTS.read_text(encoding="utf-8")) if VERDICTS.exists() else {}
    stored |= {
        name: [verdicts[name], *pair] for found in mutants.values() for name, pair in found.items() if name in verdicts
    }
    VERDICTS.write_text(json.dumps(stored), encoding="utf-8")


def prepare(modules: list[str]) -> None:
    """Copy what the tests need.

    What mutmut remembers is thrown away: it would not notice that other modules are asked for, nor a changed test.
    """
    COPY.mkdir(parents=True, exist_ok=True)
    shutil.rmtree(COPY / "mutants", ignore_errors=True)
    for name in ("src", "tests", "docs", "tools"):
        shutil.rmtree(COPY / name, ignore_errors=True)
        shutil.copytree(ROOT / name, COPY / name, ignore=shutil.ignore_patterns("__pycache__", "_build"))
    for name in ("README.md", "LICENSE"):
        shutil.copy2(ROOT / name, COPY / name)
    for path in (COPY / PHYSICS).glob("*_kernel.py"):
        path.write_text(DECORATOR.sub("", path.read_text(encoding="utf-8")), encoding="utf-8")
    files = ", ".join(f'"{PHYSICS.as_posix()}/{name}.py"' for name in modules or ["*"])
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    (COPY / "pyproject.toml").write_text(text + CONFIG.format(files=files, unescaped=UNESCAPED), encoding="utf-8")


def mutants_of(module: str) -> Mutants:
    """Return what mutmut makes of a module."""
    from mutmut.mutation.file_mutation import mutate_file_contents

    path = COPY / PHYSICS / f"{module}.py"
    cwd = Path.cwd()
    os.chdir(COPY)  # where mutmut looks for its settings
    try:
        made = mutate_file_contents(str(path), path.read_text(encoding="utf-8"))
    finally:
        os.chdir(cwd)
    sources = {
        node.name: ast.unparse(node) for node in ast.walk(ast.parse(made.code)) if isinstance(node, ast.FunctionDef)
    }
    return {
        f"laydown.physics.{module}.{name}": (
            sources[re.sub(r"__mutmut_\d+$", "__mutmut_orig", name)].replace("__mutmut_orig", ""),
            re.sub(r"__mutmut_\d+", "", sources[name]),
        )
        for name in made.mutant_names
    }


def why_left_out(pair: tuple[str, str]) -> str | None:
    """Why the mutant does not count, or None."""
    before, after = (ast.parse(source).body[0] for source in pair)
    return left_out(before, after)


def report(mutants: dict[str, Mutants], verdicts: dict[str, str]) -> None:
    """Print a row for each module and both scores; write down the survivors."""
    total: Counter[str] = Counter()
    survivors: list[str] = []
    print(f"{'module':24s} {'mutants':>8s} {'killed':>7s} {'%':>6s} {'counted':>8s} {'killed':>7s} {'%':>6s}")
    for module, found in mutants.items():
        counts: Counter[str] = Counter()
        for name in sorted(found):
            if name not in verdicts:
                counts["not tried"] += 1
                continue
            why = why_left_out(found[name])
            killed = verdicts[name] not in ALIVE
            counts.update({"tried": 1, "killed": killed, "counted": why is None, "held": why is None and killed})
            if not killed:
                before, after = (source.splitlines() for source in found[name])
                lines = difflib.unified_diff(before, after, lineterm="", n=1)
                survivors += [f"# {name} {verdicts[name]}{f', left out: {why}' if why else ''}", *list(lines)[3:], ""]
        print(row(module, counts))
        total += counts
    print(row("all", total))
    if total["not tried"]:
        print(f"{total['not tried']} were not tried")
    SURVIVORS.write_text("\n".join(survivors), encoding="utf-8")
    print(f"survivors: {SURVIVORS}")


def row(module: str, counts: Counter[str]) -> str:
    """One line of the table."""

    def percent(part: str, whole: str) -> str:
        return f"{100 * counts[part] / counts[whole]:6.1f}" if counts[whole] else f"{'-':>6s}"

    cells: Iterable[str] = (
        f"{counts['tried']:8d} {counts['killed']:7d}", percent("killed", "tried"),
        f"{counts['counted']:8d} {counts['held']:7d}", percent("held", "counted"),
    )  # fmt: skip
    return f"{module:24s} {' '.join(cells)}"


if __name__ == "__main__":
    sys.exit(main())
