"""Break tests and stretch of a rope as people tell it: reading, working out, and saying why."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.quantity import Dimension
from ropewright.quantity.told import TextReader, positive, range_of
from ropewright.rope.batch import BatchTest, batch_test
from ropewright.rope.names import canonical_construction, canonical_fibre, canonical_stretch, read_condition
from ropewright.rope.stretch import ARREST_LIMIT, StretchTable, stretch_table
from ropewright.rope.told import break_load, rope_diameter, rope_strength, share

__all__ = ["BATCH_SOURCES", "percent", "told_batch", "told_stretch", "why_they_differ"]

#: Where the figures of a batch come from.
BATCH_SOURCES = (
    "minimum: 1 - P^n, Wilks 1941, from memory",
    "mean - 3 sd: Cordage Institute test method as US rope standards name it, read second hand",
    "mean - k sd: noncentral t, NIST/SEMATECH e-Handbook 7.2.6.3, read second hand",
    "outlier: Grubbs, NIST/SEMATECH e-Handbook 1.3.5.17.1, from memory",
)


def told_batch(reader: TextReader) -> BatchTest:
    """Work out a batch from its break loads.

    Parameters
    ----------
    reader : TextReader
        Of ``break`` (several), ``coverage``, ``confidence``.

    Raises
    ------
    InputError, InputErrors
        All faults at once.
    """
    breaks = reader.many("break", break_load)
    coverage = reader.one("coverage", share, 0.99)
    confidence = reader.one("confidence", share, 0.95)
    reader.done("the batch can't be worked out")
    return batch_test(breaks, coverage=coverage, confidence=confidence)


def percent(part: float) -> str:
    """Share cut off, so that no more is claimed than is so.

    Examples
    --------
    >>> percent(0.99), percent(0.9499)
    ('99 %', '94.9 %')
    """
    return f"{int(1000 * part + 1e-9) / 10:g} %"


def why_they_differ(test: BatchTest) -> Iterator[str]:
    """Yield in words what each figure of a batch claims and why they differ."""
    n, whole, sure = len(test.breaks), percent(test.coverage), percent(test.confidence)
    yield (
        f"The weakest piece says what {n} of this batch did; that {whole} of it are as strong can be said with "
        f"{percent(test.minimum_confidence)} confidence, whatever the spread."
    )
    if test.three_sigma_confidence is None or test.tolerance_k is None:
        yield "One piece tells nothing of the spread: break more before a figure is put on the rope."
        return
    yield (
        f"The mean less three standard deviations takes the spread of {n} pieces for the spread of the batch; that "
        f"{whole} are as strong can be said with {percent(test.three_sigma_confidence)} confidence."
    )
    yield (
        f"The tolerance limit takes off {test.tolerance_k:.2f} standard deviations instead of 3, so that {whole} are "
        f"as strong with {sure} confidence. The fewer the pieces, the further down it lies."
    )
    if test.tolerance == 0.0:
        yield "It comes out at nothing: so few pieces spread so far can't bear out any strength. Break more."
    if test.is_few:
        yield "Fewer than 5 pieces: the mean less three standard deviations is meant for 5 or more."
    yield "Both take the batch as normal, one spread about one mean; a batch of mixed rope is not."
    if test.outlier and test.outlier.stands_out:
        yield (
            f"One piece stands out, {test.outlier.distance:.2f} standard deviations from the mean where a sound batch "
            f"passes {test.outlier.critical:.2f} once in twenty. It is counted; find out why before the rope is used."
        )


def told_stretch(reader: TextReader) -> StretchTable:
    """Work out how far a rope gives.

    Parameters
    ----------
    reader : TextReader
        Of ``fibre``, ``construction``, ``stretch``, ``condition``, ``diameter``, ``strength``, ``stiffness``,
        ``length``, ``mass``, ``force``.

    Raises
    ------
    InputError, InputErrors
        All faults at once.
    """
    fibre = reader.word("fibre", canonical_fibre)
    construction = reader.word("construction", canonical_construction)
    gives = reader.word("stretch", canonical_stretch)
    reader.word("condition", lambda text, field: str(read_condition(text, field)))
    diameter = reader.one("diameter", rope_diameter, 0.011)
    strength = reader.one("strength", rope_strength, None)
    given = reader.one("stiffness", range_of(Dimension.FORCE), None)
    length = reader.one("length", positive(Dimension.LENGTH), 1.0)
    mass = reader.one("mass", positive(Dimension.MASS), 1.0)
    force = reader.one("force", positive(Dimension.FORCE), ARREST_LIMIT)
    reader.done("the stretch can't be worked out")
    return stretch_table(
        fibre=fibre,
        construction=construction,
        gives=gives,
        diameter=diameter,
        strength=strength,
        given=given,
        condition=reader.texts["condition"],
        length=length,
        mass=mass,
        force=force,
    )
