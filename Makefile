.DEFAULT_GOAL := help
SHELL := /bin/bash
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PORT ?= 8000
BARNBOOK_DATA ?= .data
ARGS ?=

help: ## what can be made
	@grep -hE '^[a-z-]+:.*## ' Makefile | awk -F ':.*## ' '{printf "  make %-9s %s\n", $$1, $$2}'

run: ## set everything up and serve the app (PORT, BARNBOOK_DATA, ARGS=--example)
	@$(MAKE) --no-print-directory -j2 python app
	@$(MAKE) --no-print-directory compressed
	@exec $(BIN)/barnbook serve --port $(PORT) --data "$(BARNBOOK_DATA)" $(ARGS)

python: $(VENV)/.installed
$(VENV)/.installed: requirements.lock pyproject.toml
	@echo "Python: making .venv from requirements.lock"
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check "uv<1"
	@$(BIN)/uv pip install --quiet --python $(BIN)/python --require-hashes -r requirements.lock
	@$(BIN)/uv pip install --quiet --python $(BIN)/python --no-deps -e .
	@touch $@

app: frontend/dist/.built
frontend/node_modules/.installed: frontend/package-lock.json
	@echo "App: npm ci"
	@cd frontend && npm ci --no-audit --no-fund --loglevel=error
	@touch $@
frontend/dist/.built: frontend/node_modules/.installed $(shell find frontend/src frontend/public frontend/*.ts frontend/*.html frontend/*.json -type f 2>/dev/null | grep -v package-lock)
	@echo "App: building"
	@cd frontend && npm run --silent build
	@touch $@

compressed: frontend/dist/.compressed
frontend/dist/.compressed: frontend/dist/.built
	@$(BIN)/python -m whitenoise.compress --quiet frontend/dist
	@touch $@

test: ## everything that CI runs: linters, types, import contracts, and all tests
	@$(MAKE) --no-print-directory -j2 python app
	@$(MAKE) --no-print-directory compressed chromium
	$(BIN)/ruff check .
	$(BIN)/ruff format --check --quiet .
	$(BIN)/mypy
	$(BIN)/lint-imports
	cd frontend && npm run --silent check && npm run --silent size
	tests/postgresql.sh --if-there $(BIN)/pytest -q -n 2 --dist loadfile tests/journal tests/work tests/api tests/house/keeping/test_drill.py
	$(BIN)/pytest -n 2 --dist loadfile

chromium:
	@{ command -v chromium && command -v certutil && { [ "$$(uname)" != Linux ] || command -v strace; }; } >/dev/null || { \
	  if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; then \
	    echo "Browser tests: installing Debian's chromium, certutil and strace"; \
	    apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq chromium libnss3-tools strace >/dev/null; \
	  else \
	    echo "The browser tests need Debian's chromium: install the packages 'chromium', 'libnss3-tools' and 'strace' and run make test again."; exit 1; \
	  fi; }

bench: ## measure speed, each figure beside something to compare it with
	@$(MAKE) --no-print-directory -j2 python app
	@$(MAKE) --no-print-directory compressed chromium
	@for each in tests/bench/bench_*.py; do echo "== $$each"; $(BIN)/python -m "$$(echo $${each%.py} | tr / .)" || exit 1; done

soak: ## hundreds of kills at random moments (half an hour and more)
	@$(MAKE) --no-print-directory -j2 python app
	@$(MAKE) --no-print-directory compressed chromium
	$(BIN)/pytest -s tests/soak/soak_*.py

wheel: ## dist/barnbook-*.whl, which carries the built app: for `pipx install`
	@$(MAKE) --no-print-directory -j2 python app
	@$(MAKE) --no-print-directory compressed
	@frontend/make-wheel.sh frontend/dist dist

clean: ## take away what was built (never the book)
	@rm -rf dist frontend/dist frontend/node_modules $(VENV)

.PHONY: help run python app compressed test chromium bench soak wheel clean
