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
