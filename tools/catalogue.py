#!/usr/bin/env python3
"""Find texts of the pages that the Spanish catalogue lacks.

python tools/catalogue.py            # list what is missing or no longer used; exit status 1 if there is any
python tools/catalogue.py jobs       # add what is missing, without its Spanish, to locale/es/jobs.po
"""

from __future__ import annotations

import sys
from io import BytesIO
from pathlib import Path

from babel.messages import Catalog
from babel.messages.pofile import read_po, write_po

from ropewright.web.catalogue_source import messages_used
from ropewright.web.words import catalogue

FOLDER = Path(__file__).parents[1] / "src/ropewright/web/locale/es"
#: Texts of the engine, which stand in no template.
ENGINE = {message.id for message in read_po(BytesIO((FOLDER / "engine.po").read_bytes()))}


def main(arguments: list[str]) -> int:
    used = messages_used()
    known = {message.id for message in catalogue("es") if message.id}
    missing = [one for one in used if one not in known]
    for one in missing:
        print("missing:", one)
    for one in sorted(map(str, known - set(used) - ENGINE)):
        print("not used:", one)
    if arguments and missing:
        path = FOLDER / f"{arguments[0]}.po"
        mine = read_po(BytesIO(path.read_bytes()), locale="es") if path.is_file() else Catalog(locale="es")
        for one in missing:
            mine.add(one)
        with path.open("wb") as file:
            write_po(file, mine, omit_header=False, no_location=True, width=120)
    return int(bool(missing))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
