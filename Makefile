# Everything a person does with this repository. `make` alone lists it. Needs Python 3.11 or newer and make.

PYTHON ?= python3
WORKERS ?= 3
OUT ?= demo-out
BIN := .venv/bin
UV := $(BIN)/uv
CORE := .venv/.core-installed
DEV := .venv/.dev-installed
COVERED := physics models planning

.DEFAULT_GOAL := help
.PHONY: help demo serve test quick check format types layers docs doctest coverage bench screenshots mutants lock clean

help:  ## list the targets
	@sed -n 's/^\([a-z]*\):.*## /\1\t/p' $(MAKEFILE_LIST) | expand -t 12

demo: $(CORE)  ## plan the orders of an invented shop: a table, and tickets (PDF) and plans (JSON) in demo-out
	@echo "planning the orders of the invented shop; the first time this compiles the kernels, which takes a minute or two"
	@$(BIN)/laydown demo --out $(OUT)

serve: $(CORE)  ## the shop in a browser, on this machine
	@$(BIN)/laydown serve

test: $(DEV)  ## every test
	$(BIN)/laydown warmup
	$(BIN)/pytest -n $(WORKERS) --dist loadfile --no-loadscope-reorder

quick: $(DEV)  ## tests without the slow ones
	$(BIN)/pytest -m "not slow"

check: format types layers docs doctest  ## every static check

format: $(DEV)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: $(DEV)
	$(BIN)/mypy

layers: $(DEV)
	$(BIN)/lint-imports

docs: $(DEV)  ## the manual as HTML in docs/_build/html
	$(BIN)/sphinx-build -q -W --keep-going -b html docs docs/_build/html

doctest: $(DEV)
	$(BIN)/pytest -q --doctest-modules src/laydown

# The compiler hides kernels from coverage, so the tests marked `interpreted` run once more without it.
coverage: $(DEV)  ## lines and branches of physics, models and planning that the tests run, each at least 90 %
	$(BIN)/coverage erase
	$(BIN)/pytest -q -n $(WORKERS) --dist loadfile --cov --cov-report=
	NUMBA_DISABLE_JIT=1 $(BIN)/pytest -q -n $(WORKERS) --dist loadfile -m interpreted --cov --cov-append --cov-report=
	@for part in $(COVERED); do \
	  $(BIN)/coverage report --include="src/laydown/$$part/*" --skip-covered --fail-under=90 || exit 1; \
	done

bench: $(DEV)  ## time side by side with peers; writes benchmarks/results.md
	$(BIN)/laydown warmup
	$(BIN)/python benchmarks/run.py

screenshots: $(DEV)  ## pictures of every page of the app, light and dark
	$(BIN)/python tools/screenshots/run.py

mutants: $(DEV)  ## break physics/ line by line and count what the tests notice (hours)
	$(BIN)/python tools/mutants/run.py $(MODULES)

# No address of a package registry may stand in a lock: the one that the user has set up is used.
lock: $(DEV)  ## resolve the dependencies anew
	$(UV) pip compile -q pyproject.toml --extra dev --generate-hashes --no-header --no-emit-index-url \
	  --python-version 3.11 --upgrade -o requirements/dev.txt
	$(UV) pip compile -q pyproject.toml --generate-hashes --no-header --no-emit-index-url \
	  --python-version 3.11 --upgrade -o requirements/core.txt
	@! grep -n "://" requirements/*.txt

clean:  ## remove what was built, the environment included
	rm -rf .venv build dist docs/_build htmlcov mutants .coverage .coverage.* $(OUT)

$(UV):
	@echo "setting up .venv"
	@$(PYTHON) -m venv .venv
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check uv

$(CORE): requirements/core.txt pyproject.toml | $(UV)
	@echo "installing what laydown needs"
	@VIRTUAL_ENV=.venv $(UV) pip install -q -r requirements/core.txt
	@VIRTUAL_ENV=.venv $(UV) pip install -q --no-deps -e .
	@touch $@

$(DEV): requirements/dev.txt pyproject.toml | $(UV)
	@echo "installing what tests, checks and the manual need"
	@VIRTUAL_ENV=.venv $(UV) pip sync -q requirements/dev.txt
	@VIRTUAL_ENV=.venv $(UV) pip install -q --no-deps -e .
	@touch $@ $(CORE)
