"""One fall answered twice: simulated in time, and by the book's sum of allowances."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ropewright.arrest.book import BookClearance, Datum, book_clearance
from ropewright.arrest.catch import Catches, catch
from ropewright.arrest.parts import Chain

__all__ = ["OneFall", "book_fall", "one_fall"]


@dataclass(frozen=True)
class OneFall:
    """One fall, simulated and by the book."""

    chain: Chain
    caught: Catches  #: of this fall alone
    arrested: bool  #: brought to rest by parts that can also hold the weight alone
    free_fall: float  #: before the first tension, the grab's travel to lock included [m]
    greatest_extension: float  #: of the chain, later dips and the hang included [m]
    total_fall: float  #: of the D-ring, from release to its lowest point [m]
    weight: float  #: [N]
    book: BookClearance  #: the same fall by summed allowances, with no body or margin in it
    book_force: float  #: arrest force that the book's stretch is worked out with [N]

    def number(self, name: str) -> float:
        """Return one of the numbers of the catch."""
        return float(getattr(self.caught, name)[0])


def one_fall(chain: Chain) -> OneFall:
    """Answer one fall.

    Parameters
    ----------
    chain : Chain, shape (1,)

    Returns
    -------
    OneFall

    Raises
    ------
    CatchError
        If nothing stops the fall, or its energy account does not balance.
    ValueError
        If the chain is not one fall.

    Notes
    -----
    The book's sum: free fall, all of the absorber and of the grab's slide, and stretch F/k of rope and springs pulled
    slowly, at the absorber's force or, without one, at the undamped peak of the rope at its stiffest.

    Examples
    --------
    >>> fall = one_fall(Chain(mass=100.0, free_fall=2.0, stiffness=10_000.0))
    >>> round(fall.total_fall, 3), round(float(fall.book.total), 3)
    (2.732, 2.732)
    """
    if len(chain) != 1:
        raise ValueError(f"one fall is asked for, got {len(chain)}")
    caught = catch(chain).require_solved()
    drop, lowest = float(chain.parts.drop[0]), float(caught.lowest[0])
    book, force = book_fall(chain)
    return OneFall(
        chain=chain,
        caught=caught,
        arrested=bool(caught.holds[0]),
        free_fall=drop,
        greatest_extension=lowest,
        total_fall=drop + lowest,
        weight=float(chain.parts.weight[0]),
        book=book,
        book_force=force,
    )


def book_fall(chain: Chain) -> tuple[BookClearance, float]:
    """Return one fall by summed allowances, and the force that its stretch is worked out with [N].

    Parameters
    ----------
    chain : Chain, shape (1,)
    """
    p = chain.parts
    force = float(np.where(p.has_absorber, p.absorber_force, chain.undamped_peak())[0])
    grab = float((p.grab_lock + np.where(p.has_slip, p.grab_slip_length, 0.0))[0])
    allowances = {
        "free_fall": float(p.free_fall[0]),
        "grab_slide": grab,
        "deceleration": float(np.where(p.has_absorber, p.absorber_length, 0.0)[0]),
        "rope_stretch": float(chain.slow_stretch(force)[0]),
    }
    sources = {
        "free_fall": "as given",
        "grab_slide": "travel to lock and slide, as given",
        "deceleration": "absorber fully open, as given",
        "rope_stretch": "F/k at the absorber's force" if p.has_absorber[0] else "F/k at the undamped peak force",
    }
    needed = {key: value for key, value in allowances.items() if value > 0 or key == "free_fall"}
    return book_clearance(Datum.FEET, needed, sources), force
