#!/usr/bin/env bash
# The chores of this project, one name each; CI calls the same names. ./run.sh check does all that must pass.
set -euo pipefail
cd "$(dirname "$0")"
VENV=${VENV:-.venv}
BIN=$VENV/bin

install() { # what is needed to develop and test
  [ -x "$BIN/python" ] || python3 -m venv "$VENV"
  "$BIN/pip" install -q -c constraints.txt -e '.[dev]'
}
test() { "$BIN/python" -m pytest "$@"; }
lint() { "$BIN/ruff" check src tests benchmarks tools && "$BIN/ruff" format --check src tests benchmarks tools && "$BIN/lint-imports"; }
format() { "$BIN/ruff" check --fix-only -q src tests benchmarks tools; "$BIN/ruff" format -q src tests benchmarks tools; }
types() { "$BIN/mypy"; }
docs() { # docs/commands.md from --help, the map of the README from the example
  "$BIN/python" tools/command_reference.py
  example && cp out/map.svg docs/images/map.svg
}
example() { "$BIN/ropewright" plan examples/gable-house.toml --out out || [ $? -eq 1 ]; } # 1 is an answer
validation() { "$BIN/python" tools/validation.py; } # docs/validation.md: every comparison with its error
lock() { # pin what is installed now, without addresses
  { echo "# Versions everything was tested with; made by ./run.sh lock. Use: pip install -c constraints.txt ."
    "$BIN/pip" freeze --exclude-editable | grep -v '@' | grep -vi '^setuptools='; } > constraints.txt.new
  mv constraints.txt.new constraints.txt
}
check() { lint && types && test; }

case "${1:-}" in
  install | test | lint | format | types | docs | validation | example | lock | check) "$@" ;;
  *) echo "usage: ./run.sh install|test|lint|format|types|docs|validation|example|lock|check" >&2; exit 2 ;;
esac
