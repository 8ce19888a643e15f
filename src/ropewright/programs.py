"""The solver of linear and whole-number programs, made so that it says nothing of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import highspy

__all__ = ["quiet_solver"]


def quiet_solver() -> highspy.Highs:
    """An empty program that prints nothing and gives the same answer on every machine.

    Notes
    -----
    `highspy.Highs` prints a banner to standard output while it sets up callbacks, before any option can stop it; that
    would stand in the midst of a JSON document, so the callbacks, which nothing here uses, are left out.

    Examples
    --------
    >>> solver = quiet_solver()
    >>> _ = solver.addVar(0.0, 1.0), solver.changeColCost(0, -1.0), solver.run()
    >>> solver.getSolution().col_value
    [1.0]
    """
    import highspy

    class Quiet(highspy.Highs):
        def __init__(self) -> None:
            super(highspy.Highs, self).__init__()
            self.callbacks = []

    solver = Quiet()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 1)
    return solver
