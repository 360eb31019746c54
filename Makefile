# The two commands: `make demo` and `make test`. Everything else serves them.
PYTHON ?= python3
BIN := .venv/bin
RUN := .venv/.installed
DEV := .venv/.installed-for-tests
CODE := src tests benchmarks

.PHONY: demo chromium test lint types arrows tests bench clean

demo: $(RUN)
	$(BIN)/suspirium demo --out out/demo

test: lint types arrows tests

lint: $(DEV)
	$(BIN)/ruff check $(CODE)
	$(BIN)/ruff format --check $(CODE)

types: $(DEV)
	$(BIN)/mypy

arrows: $(DEV)
	$(BIN)/lint-imports

tests: $(DEV) chromium
	$(BIN)/pytest -n auto

# The browser tests need the system's Chromium; where it can't be had they are skipped.
chromium:
	@command -v chromium >/dev/null 2>&1 || command -v chromium-browser >/dev/null 2>&1 || \
	if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then \
	  echo "Installing Chromium for the browser tests."; \
	  { apt-get update -qq && apt-get install -y -qq --no-install-recommends chromium >/dev/null; } || \
	  echo "Chromium could not be installed: the browser tests are SKIPPED."; \
	else \
	  echo "No Chromium on this machine, and no right to install it: the browser tests are SKIPPED."; \
	fi

bench: $(DEV)
	$(BIN)/python benchmarks/bench.py
	$(BIN)/python benchmarks/underlay/evaluate.py
	$(BIN)/python benchmarks/take/evaluate.py
	$(BIN)/python benchmarks/take/beside.py
	$(BIN)/python benchmarks/take/other_hymns.py --every 5
	$(BIN)/python benchmarks/phrases/evaluate.py
	$(BIN)/python benchmarks/introductions/evaluate.py
	$(BIN)/python benchmarks/technique/effort.py
	$(BIN)/python benchmarks/technique/published.py
	$(BIN)/python benchmarks/week.py
	$(BIN)/python benchmarks/service.py

$(BIN)/python:
	$(PYTHON) -m venv .venv

$(RUN): pyproject.toml | $(BIN)/python
	@echo "Installing into .venv; this takes about a minute."
	$(BIN)/python -m pip install --quiet --editable .
	@touch $@

$(DEV): pyproject.toml | $(BIN)/python
	@echo "Installing into .venv what the tests need; this takes a minute or two."
	$(BIN)/python -m pip install --quiet --editable '.[test]'
	@touch $@ $(RUN)

clean:
	rm -rf .venv out build
