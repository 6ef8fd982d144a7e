# `make` alone lists what there is.  Everything runs from .venv/, which tools/setup.py makes.
PYTHON ?= python3
BIN := .venv/bin

.DEFAULT_GOAL := help
.PHONY: help setup setup-dev run test quick check format docs evidence bench lock clean

help: ## List these targets
	@echo "Inchwater: make TARGET"
	@sed -n 's/^\([a-z-]*\):.*## \(.*\)/  \1|\2/p' $(MAKEFILE_LIST) | awk -F'|' '{printf "%-14s %s\n", $$1, $$2}'

python:
	@command -v $(PYTHON) >/dev/null || { \
	  echo "No Python was found ($(PYTHON)). Install 3.11 or newer; on Debian: apt-get install python3 python3-venv"; exit 2; }

setup: python ## Make .venv/ with what is needed to run
	@$(PYTHON) tools/setup.py run

setup-dev: python ## Make .venv/ with what is needed to test as well
	@$(PYTHON) tools/setup.py dev

run: setup ## Set up everything and open the application with the demo in it
	@$(BIN)/inchwater serve --demo || [ $$? -eq 130 ]

test: setup-dev ## Set up everything, then check and run all tests, browser tests too
	@$(PYTHON) tools/browser.py >/dev/null
	@$(MAKE) --no-print-directory check
	@$(BIN)/python -m pytest -n auto --maxprocesses 4 --dist loadfile

quick: setup-dev ## Run the tests that need no browser, no database server and little time
	@$(BIN)/python -m pytest -q -m "not browser and not postgresql and not slow"

check: setup-dev ## Format, lint, types, layers
	@$(BIN)/ruff format --check .
	@$(BIN)/ruff check .
	@$(BIN)/mypy
	@$(BIN)/lint-imports

format: setup-dev ## Put the code into the project's form
	@$(BIN)/ruff check --fix .
	@$(BIN)/ruff format .

docs: setup-dev ## Check that the documents hold: commands, links, words, examples
	@$(BIN)/python -m pytest -q tests/test_docs.py

evidence: setup-dev ## Write docs/evidence.md anew from the checks against publications
	@$(BIN)/python tools/evidence.py

bench: setup-dev ## Run every benchmark, the short way; QUICK= runs them in full
	@$(BIN)/python -m benchmarks $(QUICK)
QUICK ?= --quick

lock: setup-dev ## Write the hash-pinned lists anew from pyproject.toml
	@$(BIN)/python tools/lock.py

clean: ## Remove .venv/ and what the tools left behind (records stay)
	@rm -rf .venv build dist .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
	@find . -name __pycache__ -type d -prune -exec rm -rf {} +
	@find src -name '*.egg-info' -type d -prune -exec rm -rf {} +
