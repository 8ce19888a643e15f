"""One row of a gear file -> the entries after which the piece stands as the row tells."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from ropewright.errors import InputError
from ropewright.store.crew_words import read_line, read_word
from ropewright.store.csv_text import CsvRow
from ropewright.store.day import read_past_day
from ropewright.store.entry import Draft
from ropewright.store.gear_piece import Act
from ropewright.store.gear_words import DESTROYED, IN_SERVICE, ISSUED, QUARANTINED, RECEIVED, RETIRED

__all__ = ["GEAR_STANDINGS", "GearRow", "fall_days"]

#: Standings that a row can have.
GEAR_STANDINGS = (RECEIVED, IN_SERVICE, ISSUED, QUARANTINED, RETIRED, DESTROYED)

#: Stands in entries for what a file tells and nobody saw happen.
_FILE = "as told by a file"

_FELL = re.compile(r"took a fall on (\S+)")
_FALL_WORDS = re.compile(r"\b(?:fall|fell|fallen|falls)\b", re.IGNORECASE)


def fall_days(reason: str) -> list[str]:
    """Days of the falls that a reason tells of, as ``took a fall on 2026-05-31``.

    Examples
    --------
    >>> fall_days("took a fall on 2026-05-31; stiff place")
    ['2026-05-31']
    """
    return [found[1] for part in reason.split("; ") if (found := _FELL.fullmatch(part))]


@dataclass(frozen=True)
class GearRow:
    """A row as it is read.

    Parameters
    ----------
    row : CsvRow
    tag, by : str
    today : date
    """

    row: CsvRow
    tag: str
    by: str
    today: date

    def text(self, header: str) -> str:
        """One line of a cell; empty if it is blank."""
        return read_line(self.row.cells.get(header, ""), self.row.named(header))

    def needed(self, header: str, right: str) -> str:
        """One line of a cell that may not be blank."""
        return read_line(self.row.cells.get(header, ""), self.row.named(header), needed=right)

    def day(self, header: str) -> date | None:
        """Day of a cell that is past; None if it is blank."""
        text = self.row.cells.get(header)
        return None if text is None else read_past_day(text, self.row.named(header), self.today)

    def refuse(self, header: str, right: str) -> InputError:
        """Return a fault of a cell."""
        return InputError(self.row.named(header), self.row.cells.get(header), right)

    def draft(self, day: date, kind: str, **body: Any) -> Draft:
        """Entry about the piece on a day; the words of `kind` as `gear_steps` has them."""
        return Act(self.by, day, self.today).draft(kind, self.tag, **body)

    @property
    def standing(self) -> str:
        """How the piece stands; one without a standing was received only."""
        text = self.row.cells.get("standing")
        return RECEIVED if text is None else read_word(text, GEAR_STANDINGS, self.row.named("standing"))

    @property
    def days_out(self) -> int:
        """Days out for which nobody told the hours of sun."""
        text = self.row.cells.get("days out", "0")
        if not (text.isascii() and text.isdecimal() and int(text[:9]) <= 100_000):
            raise self.refuse("days out", "give a whole number of days, 0 or more")
        return int(text)

    def falls(self) -> list[date]:
        """Days of the falls that the row tells of and that have not been cleared."""
        reason = self.text("reason")
        days = [read_past_day(day, self.row.named("reason"), self.today) for day in fall_days(reason)]
        said = read_word(self.row.cells.get("fallen", "not told"), ("yes", "no", "not told"), self.row.named("fallen"))
        others = [part for part in reason.split("; ") if not _FELL.fullmatch(part)]
        is_counted = bool(days) or self.row.cells.get("catches", "0") != "0"
        hinted = said == "yes" or (said == "not told" and any(_FALL_WORDS.search(part) for part in others))
        if self.standing == QUARANTINED and hinted and not is_counted:
            right = "where it took a fall write 'took a fall on 2026-05-31', with the day; if not, 'no' under fallen"
            raise self.refuse("reason", right)
        return days

    def starts(self, told: Mapping[str, Any]) -> bool:
        """Return whether the piece was put into use after it came."""
        # what was cleared after a fall is in service, whether it was ever put into use or not
        is_out = self.standing in (IN_SERVICE, ISSUED) and self.day("cleared") is None
        history = bool(self.days_out or self.row.cells.get("holder"))
        return is_out or history or (told.get("wear") == "new" and bool(self.row.cells.get("first use")))

    def history(self, first_use: date | None, cleared: int) -> Iterator[Draft]:
        """Putting into use, days out, as many falls as were cleared, and the last inspections."""
        if first_use is not None:
            yield self.draft(first_use, "started")
        if self.days_out:
            yield self.draft(self.today, "issued", to=_FILE, job=_FILE)
            body: dict[str, Any] = {"uses": 0, "sun_s": None, "days_out": self.days_out, "uses_told": True}
            yield self.draft(self.today, "returned", **body, note=_FILE)
        yield from self._cleared(cleared)
        yield from self._examined()
        yield from self._inspected()

    def _cleared(self, falls: int) -> Iterator[Draft]:
        day = self.day("cleared")
        if day is None:
            return
        who = self.needed("cleared by", "say which competent person let it back after its fall")
        finding = self.needed("cleared finding", "say what that person found")
        for _ in range(falls):
            yield self.draft(day, "fell", who=None, chain=[], note=_FILE)
        said: dict[str, Any] = {"why": _FILE, "competent": None, "signed": who, "sources": []}
        yield self.draft(day, "released", finding=finding, **said)

    def _examined(self) -> Iterator[Draft]:
        """Last examination by a competent person that it passed."""
        day = self.day("examined")
        if day is None:
            return
        who = self.needed("examined by", "say which competent person examined it")
        grounds = self.needed("grounds", "say on what grounds that person is a competent one")
        yield self._look(day, who, [], {"how": "said so", "grounds": grounds})

    def _inspected(self) -> Iterator[Draft]:
        """Last inspection that it passed, by anybody, and what one found that it did not pass."""
        day = self.day("inspected")
        if day is not None:
            yield self._look(day, self.needed("inspected by", "say who inspected it"), [], None)
        found, on = self._found(), self.day("found on")
        if found and on is None:
            raise self.refuse("found on", "say on which day that was found")
        if on is not None:
            if not found:
                raise self.refuse("found", "say what was found on that day")
            yield self._look(on, self.needed("found by", "say who found it"), found, None)

    def _look(self, day: date, who: str, found: list[str], competent: dict[str, str] | None) -> Draft:
        if not found and not self.row.cells.get("wear"):
            raise self.refuse("wear", "say how the inspection found it: new, good or worn")
        looked: dict[str, Any] = {"answers": [], "passed": not found, "missing": [], "found": found, "wear": None}
        return self.draft(day, "inspected", **looked, competent=competent, note=f"{_FILE}: inspected by {who}")

    def _found(self) -> list[str]:
        from ropewright.rope.service import canonical_found

        words = [word.strip() for word in self.text("found").split(";") if word.strip()]
        if words and self.standing in (RECEIVED, IN_SERVICE, ISSUED):
            raise self.refuse("found", f"what was found speaks against {self.standing!r}: quarantined or retired")
        return [canonical_found(word, self.row.named("found")) for word in words]

    def outcome(self, caught: Sequence[Draft]) -> Iterator[Draft]:
        """Handing out, and taking out of service; `caught` is what quarantines it since it caught a fall before."""
        standing, since, reason = self.standing, self.day("since") or self.today, self.text("reason")
        holder = self.text("holder")
        if holder and standing in (RECEIVED, IN_SERVICE):
            raise self.refuse("holder", f"nobody has what is {standing}; 'issued' is what is out with somebody")
        if holder or standing == ISSUED:
            to, job = self.needed("holder", "say who has it"), self.needed("job", "say for which job it is out")
            yield self.draft(self.day("out since") or since, "issued", to=to, job=job)
        if standing in (RECEIVED, IN_SERVICE, ISSUED):
            if caught:
                right = "it caught a fall: quarantined or retired it is, or say under 'cleared' who let it back"
                raise self.refuse("catches", right)
            if reason:
                raise self.refuse("reason", f"a reason speaks against {standing!r}: quarantined, retired or destroyed?")
            return
        self.needed("reason", "say why it is out of service")
        yield from (draft for draft in caught if str(draft.body.get("why")) not in reason)
        if standing != QUARANTINED:
            yield self.draft(since, standing, why=reason)
            return
        yield from self._quarantined(since, reason.split("; "))

    def falls_of_new(self, count: int) -> list[Draft]:
        """Entries of falls whose day is not told; the day on which it went out of service stands for it."""
        day = self.day("since") or self.today
        return [self.draft(day, "fell", who=None, chain=[], note=_FILE) for _ in range(count)]

    def _quarantined(self, since: date, reasons: Sequence[str]) -> Iterator[Draft]:
        """One entry for each reason, so that a fall is kept as one."""
        for reason in reasons:
            day = fall_days(reason)
            if day:
                yield self.draft(date.fromisoformat(day[0]), "fell", who=None, chain=[], note=_FILE)
            else:
                yield self.draft(since, "quarantined", why=reason)
