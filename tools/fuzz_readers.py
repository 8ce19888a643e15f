"""Fuzz the readers of files with atheris, which looks for inputs that reach new branches.

``python tools/fuzz_readers.py --format csv --seconds 60``: exit 0 nothing found, 1 a fault, 3 atheris is not installed.
IFC is fuzzed up to what its library prints, since that runs in a process of its own (its own faults are an answer).
"""

from __future__ import annotations

import argparse
import contextlib
import importlib.util
import sys
import tempfile
import warnings
from pathlib import Path

ROOT = Path(__file__).parents[1]
SAMPLES = {
    "csv": ["tests/data/houses/house.csv"],
    "dxf": ["tests/data/houses/house.dxf"],
    "geojson": ["tests/data/houses/house.geojson"],
    "json": ["tests/data/roofs/denhaag_4b.city.json"],
    "jsonl": ["tests/data/roofs/denhaag_5b.city.jsonl"],
}


def fuzz(ending: str, seconds: int) -> None:
    """Run until the time is up; a fault ends the process with its input printed."""
    import atheris

    with atheris.instrument_imports(include=["ropewright.readers", "ropewright.roof", "ezdxf"]):
        from ropewright.errors import FileError
        from ropewright.readers import corner_csv, dxf, geojson  # noqa: F401 - instrumented here
        from ropewright.readers.files import read_roofs

    folder = Path(tempfile.mkdtemp(prefix="fuzz-"))
    corpus = folder / "corpus"
    corpus.mkdir()
    for number, sample in enumerate(SAMPLES[ending]):
        (corpus / str(number)).write_bytes((ROOT / sample).read_bytes())
    target = folder / f"input.{ending}"

    def one(content: bytes) -> None:
        target.write_bytes(content)
        with contextlib.suppress(FileError):
            read_roofs(target)

    warnings.simplefilter("ignore")
    options = [f"-max_total_time={seconds}", "-timeout=20", "-rss_limit_mb=4096", f"-artifact_prefix={folder}/"]
    atheris.Setup([sys.argv[0], *options, str(corpus)], one)
    atheris.Fuzz()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--format", choices=list(SAMPLES), default="csv")
    parser.add_argument("--seconds", type=int, default=60)
    chosen = parser.parse_args()
    if importlib.util.find_spec("atheris") is None:
        print("atheris is not installed: pip install atheris", file=sys.stderr)
        return 3
    fuzz(chosen.format, chosen.seconds)
    return 0


if __name__ == "__main__":
    sys.exit(main())
