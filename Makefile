# `make site` builds the demo pack, `make test` runs every check. Both set up what they need in .venv.
PYTHON ?= $(shell for p in python3.14 python3.13 python3.12 python3.11 python3; do \
	$$p -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null && { echo $$p; break; }; done)
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check

.PHONY: site test suite check bench lock clean

site: $(VENV)/.site
	$(BIN)/castwalk build

test: check suite

# Browser and OpenGL tests run where Chromium and EGL are; with CASTWALK_REQUIRE_BROWSER=1 and CASTWALK_REQUIRE_GL=1 they
# fail without them instead of skipping.
# Tests of one file stay together (tests/conftest.py), so that what they share is made once.
suite: $(VENV)/.test
	$(BIN)/python -m pytest --numprocesses auto --maxprocesses 4 --dist loadgroup --no-loadscope-reorder

# The fast half, for while you work.
check: $(VENV)/.test
	$(BIN)/ruff format --check builder tests models
	$(BIN)/ruff check builder tests models
	$(BIN)/mypy

bench: $(VENV)/.test
	$(PIP) --requirement requirements-bench.lock
	$(BIN)/python -m tests.bench.pack
	$(BIN)/python -m tests.bench.scan
	$(BIN)/python -m tests.bench.camera --error
	$(BIN)/python -m tests.bench.accuracy

# Resolve the newest allowed versions anew, for every platform at once.
lock: $(VENV)/.test
	$(PIP) uv
	$(BIN)/uv pip compile --quiet --universal --python-version 3.11 --no-header --group build pyproject.toml -o requirements.lock
	$(BIN)/uv pip compile --quiet --universal --python-version 3.11 --no-header --group build --group test pyproject.toml -c requirements.lock -o requirements-test.lock
	$(BIN)/uv pip compile --quiet --universal --python-version 3.11 --no-header --group bench pyproject.toml -c requirements-test.lock -o requirements-bench.lock

$(VENV)/.venv:
	@test -n "$(PYTHON)" || { echo "Castwalk needs Python 3.11 or newer; name one: make PYTHON=/path/to/python3.12 $(MAKECMDGOALS)"; exit 2; }
	$(PYTHON) -m venv $(VENV)
	@touch $@

$(VENV)/.site: $(VENV)/.venv requirements.lock pyproject.toml
	$(PIP) --requirement requirements.lock
	$(PIP) --no-deps --no-build-isolation --editable .
	@touch $@

$(VENV)/.test: $(VENV)/.site requirements-test.lock
	$(PIP) --requirement requirements-test.lock
	@touch $@

clean:
	rm -rf $(VENV) site .castwalk
