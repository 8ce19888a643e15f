"""What the whole plan holds against a setting on a place for an anchor, and settings shortened until nothing does.

The program that chooses anchors knows the answers about falls over every edge. What a plan finds besides takes some
tenths of a second for each setting: it is asked of what is proposed, which is then proposed anew without what failed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

import numpy as np

from ropewright.findings import Finding, Verdict
from ropewright.job.ask_anchors import Use, ask_about_anchors
from ropewright.job.layout_model import Cut
from ropewright.job.layout_reach import Reach
from ropewright.job.longest import longest_below
from ropewright.job.model import Anchor, Job
from ropewright.job.rig import Rig
from ropewright.job.setting import refusal
from ropewright.job.work import Work
from ropewright.quantity import Range

__all__ = ["Held"]

#: Why a setting is no longer than it is, by the finding that refused a longer one.
_WHY: Mapping[str, str] = MappingProxyType(
    {
        "contact": "the body would meet {met} in a fall over {edge}",
        "motion-force": "the stop would hit too hard in a fall over {edge} with its swing",
        "sawing": "the rope would be dragged along {edge}, which is told to be unprotected",
        "rub": "the rope would bear on {edge}, which is told to be unprotected",
        "anchor-strength": "the anchor would not be strong enough for the fall",
        "anchor-force": "the anchor would not carry its factor times the force of the fall",
    }
)
_UNPROTECTED = "the rope would bear on edges that are told to be unprotected"
_REFUSES = (Verdict.FAILS, Verdict.DOUBTFUL)


@dataclass
class Held:
    """Settings on m places for an anchor, put to everything that a plan asks of them."""

    job: Job
    work: Work
    anchors: Sequence[Anchor]  #: (m,) what stands or would stand on each place; those of the job first
    on: Sequence[str]  #: (m,) name of the line that each place lies on
    kept: int  #: how many of them are the job's own
    report: Callable[[str], None]
    cuts: list[Cut] = field(default_factory=list)  #: settings that were proposed and refused
    notes: list[str] = field(default_factory=list)
    _known: dict[tuple[int, int, int], Finding | None] = field(default_factory=dict)
    _excused: frozenset[str] = frozenset()

    def limit(self, reaches: Sequence[Reach]) -> None:
        """Leave out what surely fails, before anything is chosen.

        Over an edge that is told to be unprotected every rope fails. An anchor of the job that fails even where it
        holds nobody but by restraint is of no use. What fails of new anchors in the same way says nothing of where
        they should go: it is told with the layout.
        """
        for number, reach in enumerate(reaches):
            if reach.gear.rig.line.edge_protection is False:
                shorter = np.flatnonzero(reach.longest > reach.restrained)
                reach.longest[shorter] = reach.restrained[shorter]
                reach.limited.update(dict.fromkeys(shorter.tolist(), _UNPROTECTED))
            if len(self.anchors) > self.kept:
                self._excused |= {one.id.split("/")[0] for one in self._at_rest(reach.gear.rig, self.anchors[-1])}
            for column in range(self.kept):
                bad = [one for one in self._at_rest(reach.gear.rig, self.anchors[column]) if not self._is_excused(one)]
                if bad:
                    reach.longest[column] = -1
                    reach.limited[column] = f"anchor {self.anchors[column].name!r} fails"
                if bad and number == 0:
                    self.notes.append(f"{self.anchors[column].name} is not counted on. {bad[0].summary}")

    def _at_rest(self, rig: Rig, anchor: Anchor) -> list[Finding]:
        """What fails of an anchor that only restrains."""
        use = Use(replace(rig, anchor=anchor), Range.exact(0.0), 0.0, restrained=True)
        found = ask_about_anchors(replace(self.job, anchors=(anchor,)), (use,))
        return [one for one in found if one.verdict in _REFUSES]

    def _is_excused(self, finding: Finding) -> bool:
        return finding.id.split("/")[0] in self._excused

    def cut(self, reaches: Sequence[Reach], stops: Sequence[Mapping[int, int]]) -> bool:
        """Put a proposal to the whole plan, and shorten what is refused.

        Parameters
        ----------
        reaches : sequence of Reach
            For each kind of gear; the longest settings of columns that are refused are lowered.
        stops : sequence of mapping of int to int
            For each kind of gear, the columns chosen and the settings on them, in steps.

        Returns
        -------
        bool
            True where anything was refused. Neighbours of what was refused, on the same line, are looked at as well,
            for as long as they are refused too: they would be proposed next.
        """
        before = len(self.cuts)
        for number, (reach, own) in enumerate(zip(reaches, stops, strict=True)):
            for column, steps in own.items():
                self.report("falls in three dimensions")
                if self._shorten(number, reach, column, steps):
                    self._shorten_neighbours(number, reach, column)
        return len(self.cuts) > before

    def settle(self, reaches: Sequence[Reach], stops: Sequence[Mapping[int, int]]) -> None:
        """Lower the longest settings on the columns chosen to what the whole plan holds, so that they can be told."""
        for number, (reach, own) in enumerate(zip(reaches, stops, strict=True)):
            for column, steps in own.items():
                self.report("longest lines")
                longest = int(reach.longest[column])
                if longest > steps and self._against(number, reach, column, longest) is not None:
                    reach.longest[column] = max(steps, self._longest_below(number, reach, column, longest))

    def _shorten_neighbours(self, number: int, reach: Reach, column: int) -> None:
        for side in (-1, 1):
            at = column + side
            while self.kept <= at < len(self.on) and column >= self.kept and self.on[at] == self.on[column]:
                if not self._shorten(number, reach, at, int(reach.longest[at])):
                    break
                at += side

    def _shorten(self, number: int, reach: Reach, column: int, steps: int) -> bool:
        """Shorten the longest setting on a column if this one is refused; was it?"""
        why = self._against(number, reach, column, steps)
        if why is None:
            return False
        longest = self._longest_below(number, reach, column, steps)
        reach.longest[column] = longest
        reach.limited[column] = _words(why)
        self.cuts.append(
            Cut(
                workers=reach.gear.workers,
                on=self.on[column] or self.anchors[column].name,
                point=self.anchors[column].point,
                refused=steps * reach.step,
                longest=longest * reach.step if longest >= 0 else None,
                why=_words(why),
                finding=why,
            )
        )
        return True

    def _longest_below(self, number: int, reach: Reach, column: int, steps: int) -> int:
        restrained = int(reach.restrained[column])
        return longest_below(
            lambda tried: self._against(number, reach, column, tried) is not None,
            restrained if restrained < steps else -1,
            int(reach.shortest_over[column]),
            steps,
        )

    def _against(self, number: int, reach: Reach, column: int, steps: int) -> Finding | None:
        """What a plan holds against a setting; nothing where it only restrains, since no fall is then asked about."""
        if steps <= reach.restrained[column]:
            return None
        key = (number, column, steps)
        if key not in self._known:
            anchor = self.anchors[column]
            self.work.know_paths(self.job, anchor, reach.near[column].paths)
            rig = replace(reach.gear.rig, anchor=anchor)
            longest = max(int(reach.longest[column]), steps)
            self.work.over(self.job, _set_to(rig, longest * reach.step))  # once, for all settings that are shorter
            self._known[key] = refusal(self.job, self.work, _set_to(rig, steps * reach.step), excused=self._excused)
        return self._known[key]


def _set_to(rig: Rig, stop: float) -> Rig:
    return replace(rig, line=replace(rig.line, anchor=rig.anchor.name, length=stop))


def _words(finding: Finding) -> str:
    """Why a line is no longer, in words."""
    kind, edge = finding.id.split("/")[0], finding.where.edge or "an edge"
    met = finding.inputs.get("met", "the wall under the edge")
    return _WHY.get(kind, "a fall over {edge} would not be held").format(met=met, edge=edge)
