# Two commands matter: `make run` and `make test`. Each sets up what it needs and nothing more:
# uv goes into .tools, everything else into .venv, from the hash-locked lists in tools/.
# A stamp file for each list keeps the second call quick.

PYTHON ?= python3
UV     := .tools/bin/uv
BIN    := .venv/bin
LOG    := .tools/set-up.log
EXAMPLES := $(sort $(wildcard examples/*.yaml))
# the rooms whose tests turn on locks, constraints, orders and searches; pages of figures are alike on any store
STORE_TESTS := $(addprefix tests/web/,accounts people policy gear interface tables documents rigs/test_saving.py) \
  $(addprefix tests/web/planning/test_,edit.py gaps.py giving.py heavy.py lots.py standing.py)
HOME_FOLDER ?= out/tern-harbor
PORT ?= 8000
PROCEDURES := $(sort $(wildcard examples/procedures/*.procedure.yaml))

# compiled modules stay beside their sources, or every start of a process compiles them all again
unexport PYTHONDONTWRITEBYTECODE
export UV_PYTHON_DOWNLOADS := never
# matrices of rigs are too small to be shared out: the threads only take the time of other work
export OMP_NUM_THREADS := 1
export OPENBLAS_NUM_THREADS := 1
export VIRTUAL_ENV := $(CURDIR)/.venv
LOCK = $(UV) pip compile -q --universal --python-version 3.11 --generate-hashes --no-header --no-annotate

.PHONY: run examples test tests test-long test-postgres test-programs check bench pages lock set-up dev-set-up clean
.DEFAULT_GOAL := run

run: set-up
	@$(BIN)/ropewright serve --home $(HOME_FOLDER) --port $(PORT) --demo

# Every example at the command line: checked, drawn, printed, its procedures proved.
examples: set-up
	@$(BIN)/ropewright check $(EXAMPLES) --out out || test $$? -eq 1  # 1: some examples are outside policy, to teach it
	@$(BIN)/ropewright draw $(EXAMPLES) --out out --format svg,png
	@$(BIN)/ropewright card $(EXAMPLES) --out out
	@$(BIN)/ropewright prove --brief $(PROCEDURES)
	@$(BIN)/ropewright sheets $(PROCEDURES) --out out --force >out/sheets.txt
	@echo "Briefs, storyboards, skill sheets and checks (PDF) of $(words $(PROCEDURES)) procedures are in out/"
	@echo "Pictures (SVG, PNG), cards (PDF) and full results (JSON) of $(words $(EXAMPLES)) rigs are in out/"

# The checks beside the tests. Three runs of tests, each of which fails where no test ran: everything; what the store
# decides against a real PostgreSQL server; the web app in a real browser.
test: dev-set-up
	@$(MAKE) --no-print-directory -j 2 check tests

tests: test-programs
	@$(BIN)/pytest -n 2 --dist loadscope --no-loadscope-reorder
	@tools/with_postgres.sh $(BIN)/pytest -n 2 --dist worksteal $(STORE_TESTS)
	@$(BIN)/pytest -n 2 --dist loadfile --no-loadscope-reorder tests/browser

# Every test of the web app against PostgreSQL: longer, for before a release.
test-postgres: check test-programs
	@tools/with_postgres.sh $(BIN)/pytest -n 2 --dist worksteal tests/web

# What takes hours, for before a release: more random rigs and procedures, and a thousand deaths of the server.
test-long: test-postgres
	@ROPEWRIGHT_ALL=yes $(BIN)/pytest -n 2 --dist worksteal tests/sheets tests/rig/test_writer.py
	@ROPEWRIGHT_DRAWINGS=300 $(BIN)/pytest -n 2 --dist worksteal tests/drawing
	@ROPEWRIGHT_BREAKS=1000 $(BIN)/pytest -n 2 --dist worksteal tests/judgement/test_no_false_held.py
	@$(BIN)/python -m tests.procedure.agreement
	@$(BIN)/python -m tests.web.storing.kills --times 1000

test-programs:
	@tools/test_programs.sh

check: dev-set-up
	$(BIN)/ruff format --check src tests
	$(BIN)/ruff check src tests
	$(BIN)/mypy src tests
	$(BIN)/lint-imports
	DJANGO_SETTINGS_MODULE=tests.web.settings $(BIN)/django-admin makemigrations --check --dry-run --pythonpath .

bench: dev-set-up
	@$(BIN)/python -m tests.bench

# The gallery, the README's card and the validation page, from the examples and the cases.
pages: dev-set-up
	@$(BIN)/python tools/gallery.py
	@$(BIN)/python tools/procedure_words.py
	@$(BIN)/python tools/storyboards.py
	@$(BIN)/python studies/procedure_cost.py
	@$(BIN)/python -m tools.validation_page

set-up: .venv/.run.stamp
dev-set-up: .venv/.dev.stamp

# pip's words go to a log and are shown when it fails: a silent failure cannot be mended.
.tools/.uv.stamp: tools/uv.lock.txt
	@mkdir -p .tools
	@$(PYTHON) -m pip install -q --upgrade --target .tools --require-hashes -r tools/uv.lock.txt >$(LOG) 2>&1 \
	  || { cat $(LOG) >&2; echo "set-up failed: pip could not fetch uv; its words stand above" >&2; exit 1; }
	@touch $@

.venv/.made.stamp: .tools/.uv.stamp
	@test -x $(BIN)/python || $(UV) venv -q --allow-existing --python $(PYTHON) .venv
	@touch $@

.venv/.run.stamp: .venv/.made.stamp tools/run.lock.txt pyproject.toml
	@$(UV) pip install -q --require-hashes -r tools/run.lock.txt
	@$(UV) pip install -q --no-deps --no-build-isolation -e .
	@touch $@

.venv/.dev.stamp: .venv/.run.stamp tools/dev.lock.txt
	@$(UV) pip install -q --require-hashes -r tools/dev.lock.txt
	@touch $@

# Fresh versions for every list. --no-header keeps the machine's own settings out of the files.
lock: .tools/.uv.stamp
	$(LOCK) --upgrade tools/uv.in -o tools/uv.lock.txt
	$(LOCK) --upgrade tools/run.in -o tools/run.lock.txt
	$(LOCK) --upgrade -c tools/run.lock.txt tools/dev.in -o tools/dev.lock.txt
	@! grep -n '://' tools/*.lock.txt || { echo "a lock names a host; the lines stand above" >&2; exit 1; }

clean:
	rm -rf .venv .tools out
