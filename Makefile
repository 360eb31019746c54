# The two commands: `make demo` and `make test`. Everything else serves them.
PYTHON ?= python3
BIN := .venv/bin
STAMP := .venv/.installed

.PHONY: demo test lint types arrows tests bench clean

demo: $(STAMP)
	$(BIN)/suspirium demo --out out/demo

test: lint types arrows tests

lint: $(STAMP)
	$(BIN)/ruff check src tests benchmarks
	$(BIN)/ruff format --check src tests benchmarks

types: $(STAMP)
	$(BIN)/mypy

arrows: $(STAMP)
	$(BIN)/lint-imports

tests: $(STAMP)
	$(BIN)/pytest -n auto

bench: $(STAMP)
	$(BIN)/python benchmarks/bench.py

$(STAMP): pyproject.toml
	test -x $(BIN)/python || $(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --editable '.[test]'
	touch $(STAMP)

clean:
	rm -rf .venv out build
