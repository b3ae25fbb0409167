# Two commands do all: `make run` (service with the demonstration open) and `make test`.
PYTHON ?= python3
VENV := .venv
PY := $(VENV)/bin/python
PORT ?= 8765

.PHONY: run test prove lock env env-test clean

run: env
	@$(PY) -m wheelover serve --port $(PORT) --demonstration

test: env-test
	@$(PY) tests/run_all.py

# The long forms by hand: property tests with many more examples, faults with full counts (their figures go
# to tests/faults/FIGURES.md).
prove: $(VENV)/.stamp-prove
	@$(PY) tests/run_all.py --long

# The loops of core/compiled.py become machine code, so that no start waits for a compiler. They need few
# packages: with these installed they are compiled while all else goes on, on another processor where there
# is one.
COMPILING = env -u PYTHONDONTWRITEBYTECODE PYTHONPATH=service $(PY)
# Where this Python's own pip can install for another environment, the new one needs none of its own,
# which saves some seconds.
OWN_PIP = import pip, sys; sys.exit(tuple(map(int, pip.__version__.split(".")[:2])) < (22, 3))
INSTALL = $$(cat $(VENV)/.pip) install --quiet --disable-pip-version-check
FOR_LOOPS = awk '/^[a-z]/ { wanted = /^(numpy|numba|llvmlite|pyproj|certifi)==/ } wanted' requirements.lock
LOOPS = $(COMPILING) -c 'from wheelover.core.compiled import load_all; import wheelover.core.geo.near_loops, wheelover.core.geo.near_bounds, wheelover.core.geo.span_loop, wheelover.core.geo.edge_loops, wheelover.core.geo.line_loops, wheelover.core.clearance.first_loop, wheelover.core.manoeuvre.ground_loops, wheelover.core.manoeuvre.steered_loops, wheelover.core.sweep.near_loop, wheelover.core.sweep.about_loop, wheelover.core.sweep.parts_loop, wheelover.core.sweep.shift_loop, wheelover.core.sweep.hull_loop, wheelover.core.clearance.inside_loop, wheelover.core.clearance.rough_loop, wheelover.core.clearance.matter_loop, wheelover.core.clearance.sides_loop, wheelover.core.clearance.foremost_loops, wheelover.core.clearance.corridor_loop; load_all()'
# Bytecode for what the service imports and no more: all modules of all packages would take 6 s longer.
REST = $(COMPILING) -c 'import wheelover.api, wheelover.jobs.worker, uvicorn.protocols.http.httptools_impl, alembic.command, scipy.spatial, scipy.optimize, wheelover.render.paper.paper, wheelover.render.workbook, wheelover.render.standalone.folium_map' \
  && $(COMPILING) -m compileall -q service/wheelover

env: $(VENV)/.stamp-run
env-test: $(VENV)/.stamp-test

$(VENV)/.stamp-run: requirements.lock pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(0 if sys.version_info >= (3, 11) else "wheelover needs Python 3.11 or newer; set PYTHON=python3.11")'
	@test -x $(PY) || $(PYTHON) -m venv --without-pip $(VENV)
	@if $(PYTHON) -c '$(OWN_PIP)' 2>/dev/null; then echo "$(PYTHON) -m pip --python $(PY)"; \
	  else $(PY) -m ensurepip >/dev/null && echo "$(PY) -m pip"; fi > $(VENV)/.pip
	@echo "Installing the locked packages into $(VENV) ..."
	@$(FOR_LOOPS) > $(VENV)/loops.lock
	@$(INSTALL) --no-compile --no-deps --require-hashes -r $(VENV)/loops.lock
	@$(LOOPS) & loops=$$!; \
	  $(INSTALL) --no-compile --no-deps --require-hashes -r requirements.lock && \
	  $(REST) && $(INSTALL) --no-build-isolation --no-deps -e . && \
	  wait $$loops
	@touch $@

$(VENV)/.stamp-test: $(VENV)/.stamp-run requirements-test.lock tests/outside_provider/package-lock.json
	@echo "Installing the locked test packages into $(VENV) ..."
	@$(INSTALL) --require-hashes -r requirements-test.lock
	@if command -v npm >/dev/null; then cd tests/outside_provider && npm ci --silent --no-audit --no-fund; \
	  else echo "No npm: the tests with a real sign-in provider are left out."; fi
	@touch $@

$(VENV)/.stamp-prove: $(VENV)/.stamp-test requirements-prove.lock
	@$(INSTALL) --no-deps --require-hashes -r requirements-prove.lock
	@touch $@

# Writes the lock files: versions and sha256, no host name. Needs `pip install uv` in some environment.
LOCK = uv pip compile --universal --python-version 3.11 --generate-hashes --no-header --no-annotate --no-emit-index-url --quiet pyproject.toml
lock:
	$(LOCK) --extra build -o requirements.lock
	$(LOCK) --extra build --extra test -c requirements.lock -o requirements-test.lock
	$(LOCK) --extra build --extra test --extra prove -c requirements-test.lock -o requirements-prove.lock

clean:
	rm -rf $(VENV)
