"""Time reading files of roofs beside what merely parses them, both in one run, with the counts of what was read.

``python benchmarks/bench_readers.py [FOLDER ...]`` takes folders of files; without one, those the tests use. JSON is
set against `json.load` of the same file, CSV against the csv module, DXF against `ezdxf`, IFC against opening it with
`ifcopenshell`. A CityJSON file of 1,000 buildings is made by setting the houses of one file side by side.
"""

from __future__ import annotations

import csv
import json
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from ropewright.errors import FileError
from ropewright.readers import read_roofs

DATA = Path(__file__).parents[1] / "tests" / "data"
ENDINGS = (".json", ".jsonl", ".geojson", ".ifc", ".dxf", ".csv")


def seconds(work: Callable[[], object]) -> tuple[float, float]:
    """Wall clock, and time of this process on the processor: the same on an idle machine, but for IFC's own process."""
    start, busy = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - start, time.process_time() - busy


def parse(path: Path) -> object:
    """Parse a file and do nothing with it."""
    if path.suffix == ".ifc":
        import ifcopenshell

        return ifcopenshell.open(path)
    if path.suffix == ".dxf":
        from ezdxf.filemanagement import readfile

        return readfile(path)
    with path.open(encoding="utf-8", newline="") as file:
        if path.suffix == ".csv":
            return list(csv.reader(file))
        return [json.loads(line) for line in file] if path.suffix == ".jsonl" else json.load(file)


def thousand(folder: Path) -> Path:
    """Write a CityJSON file of 1,000 buildings: 250 times four houses, 40 m apart."""
    city = json.loads((DATA / "roofs" / "denhaag_4b.city.json").read_text(encoding="utf-8"))
    city.pop("appearance", None)
    objects, vertices = city["CityObjects"], city["vertices"]
    step = round(40 / city["transform"]["scale"][0])
    made: dict[str, object] = {}
    corners: list[list[int]] = []
    for number in range(250):
        for name, thing in objects.items():
            made[f"{name}-{number}"] = renamed(thing, number, len(corners))
        corners += [[x + number * step, y, z] for x, y, z in vertices]
    path = folder / "thousand.city.json"
    path.write_text(json.dumps({**city, "CityObjects": made, "vertices": corners}), encoding="utf-8")
    return path


def renamed(thing: dict[str, object], number: int, first: int) -> dict[str, object]:
    copy = json.loads(json.dumps(thing))
    for key in ("parents", "children"):
        if key in copy:
            copy[key] = [f"{one}-{number}" for one in copy[key]]
    for geometry in copy.get("geometry", []):
        geometry["boundaries"] = shifted(geometry["boundaries"], first)
        geometry.pop("material", None)
        geometry.pop("texture", None)
    return copy


def shifted(value: object, first: int) -> object:
    return [shifted(one, first) for one in value] if isinstance(value, list) else int(str(value)) + first


def row(path: Path) -> Counter[str]:
    parsed, _ = seconds(lambda: parse(path))
    found: list[tuple[object, ...]] = []
    try:
        took, busy = seconds(lambda: found.append(read_roofs(path)))
    except FileError as error:
        print(f"{path.name:40} {error}")
        return Counter()
    counts = Counter(one.status for one in found[0])
    shown = ", ".join(f"{counts[kind]} {kind}" for kind in ("read", "mended", "refused"))
    times = f"{took:8.2f} s  {busy:8.2f} s  {parsed:8.3f} s  {took / parsed:7.1f}"
    print(f"{path.name:40} {len(found[0]):5d}  {times}  {shown}")
    return counts


def main() -> None:
    folders = [Path(one) for one in sys.argv[1:]] or [DATA / "roofs", DATA / "houses"]
    for name in ("house.ifc", "house.dxf"):  # import their libraries
        parse(DATA / "houses" / name)
    print(f"{'file':40} {'buildings':>5} {'read_roofs':>10} {'busy':>11} {'parse alone':>10} {'ratio':>7}")
    total: Counter[str] = Counter()
    for folder in folders:
        for path in sorted(folder.rglob("*")):
            if path.suffix in ENDINGS and "planes" not in path.name:  # tables of measurements
                total += row(path)
    print(f"together: {dict(total)}")
    with tempfile.TemporaryDirectory() as folder:
        row(thousand(Path(folder)))


if __name__ == "__main__":
    main()
