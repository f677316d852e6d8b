"""Change physics/ one operator, number or name at a time and see whether a test notices.

mutmut leaves decorated functions alone, and numba's decorator is on every kernel. As the tests run with the compiler
off anyway, this works on a copy of the repository in ``build/mutants`` in which the decorators are taken out.

Usage: python tools/mutants/run.py [MODULE ...]      for example: python tools/mutants/run.py mesh heat_kernel
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[2]
COPY = ROOT / "build" / "mutants"
DECORATOR = re.compile(r"^@njit\((?:[^()]|\([^()]*\))*\)\n", re.MULTILINE)

CONFIG = """
[tool.mutmut]
source_paths = ["src"]
only_mutate = [{files}]
also_copy = ["README.md", "LICENSE", "docs", "tools"]
pytest_add_cli_args = ["-m", "interpreted and not slow", "-p", "no:cacheprovider"]
pytest_add_cli_args_test_selection = ["tests/physics"]
mutate_only_covered_lines = true
"""


def prepare(modules: list[str]) -> None:
    """Copy what the tests need; verdicts of an earlier run on unchanged sources are kept."""
    COPY.mkdir(parents=True, exist_ok=True)
    for name in ("src", "tests", "docs", "tools"):
        shutil.rmtree(COPY / name, ignore_errors=True)
        shutil.copytree(ROOT / name, COPY / name, ignore=shutil.ignore_patterns("__pycache__", "_build"))
    for name in ("README.md", "LICENSE"):
        shutil.copy2(ROOT / name, COPY / name)
    for path in (COPY / "src" / "laydown" / "physics").glob("*_kernel.py"):
        path.write_text(DECORATOR.sub("", path.read_text(encoding="utf-8")), encoding="utf-8")
    files = ", ".join(f'"src/laydown/physics/{name}.py"' for name in modules or ["*"])
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    (COPY / "pyproject.toml").write_text(text + CONFIG.format(files=files), encoding="utf-8")


def main() -> int:
    """Run mutmut in the copy, tell the score and list the mutants that survived."""
    prepare(sys.argv[1:])
    environment = os.environ | {"NUMBA_DISABLE_JIT": "1"}
    mutmut = str(Path(sys.executable).parent / "mutmut")
    log = COPY / "mutmut.log"
    print(f"running; progress goes to {log}", flush=True)
    with log.open("wb") as out:  # it draws on one line without end
        status = subprocess.run([mutmut, "run"], cwd=COPY, env=environment, stdout=out, check=False).returncode
    results = subprocess.run(
        [mutmut, "results", "--all", "true"], cwd=COPY, env=environment, capture_output=True, text=True, check=False
    )
    verdicts = [line.strip().rpartition(": ") for line in results.stdout.splitlines() if ": " in line]
    counts = Counter(verdict for *_, verdict in verdicts)
    tried = counts.total() - counts["no tests"] - counts["skipped"] - counts["not checked"]
    for name, _, verdict in verdicts:
        if verdict == "survived":
            print(name)
    print(", ".join(f"{count} {verdict}" for verdict, count in counts.most_common()))
    if status:
        print(f"mutmut stopped early; the end of {log} says why")
    if tried:
        print(f"score {100 * (1 - counts['survived'] / tried):.1f} % of {tried} mutants")
    print(f"'cd {COPY} && {mutmut} show NAME' shows a mutant")
    return status


if __name__ == "__main__":
    sys.exit(main())
