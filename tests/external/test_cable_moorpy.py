"""Lines held against MoorPy, a mooring-line library: single catenaries, and systems with free points under load.

The library's free points are clipped to the line, so that it is told the pieces of line that our answer has between
the loads: then both must hang alike.
"""

import numpy as np
import pytest

from ropewright.arrest.cable import Cable, PointLoad
from ropewright.arrest.cable_balance import hang_cable

pytestmark = pytest.mark.filterwarnings("ignore")

G = 9.80665
CASES = {
    "midspan": (Cable((20.0,), (20.05,), (), 0.25 * G, 1.7e6), [(10.0, 6000.0)]),
    "off the middle": (Cable((20.0,), (20.05,), (), 0.25 * G, 1.7e6), [(4.0, 6000.0)]),
    "two workers, supports not level": (Cable((18.0,), (18.1,), (1.5,), 3.0, 4e5), [(5.0, 2500.0), (13.0, 981.0)]),
    "pretensioned": (Cable((12.0,), (11.97,), (-0.4,), 0.4 * G, 9e5), [(7.5, 4000.0)]),
    "slack and soft": (Cable((15.0,), (17.0,), (), 0.12 * G, 3e4), [(3.0, 300.0), (8.0, 1000.0), (11.0, 300.0)]),
}


def moored(ends, nodes, forces, lengths, weight, stiffness):
    import moorpy

    system = moorpy.System(depth=1e4)  # no seabed within reach
    system.lineTypes["line"] = {"name": "line", "d_vol": 0.0, "m": weight / 9.81, "EA": stiffness, "w": weight}
    system.addPoint(1, np.array([ends[0][0], 0.0, ends[0][1]]))
    for (x, z), force in zip(nodes, forces, strict=True):
        system.addPoint(0, np.array([x, 0.0, z]), fExt=np.array([0.0, 0.0, -force]))
    system.addPoint(1, np.array([ends[1][0], 0.0, ends[1][1]]))
    for k, length in enumerate(lengths, start=1):
        system.addLine(length, "line", pointA=k, pointB=k + 1)
    system.initialize(plots=0)
    system.solveEquilibrium(tol=1e-7)
    return system


@pytest.mark.parametrize(("cable", "loads"), CASES.values(), ids=CASES)
def test_points_under_load_hang_where_the_library_has_them(cable, loads):
    state = hang_cable(cable, [PointLoad(*load) for load in loads])
    (span,) = state.spans
    shifted = [(x + 0.05, z + 0.1) for x, z in state.load_points]  # the library must find them by itself
    lengths = [piece.s for piece in span.pieces]
    system = moored(cable.supports, shifted, [f for _, f in loads], lengths, cable.weight, cable.stiffness)
    found = [(point.r[0], point.r[2]) for point in system.pointList[1:-1]]
    assert np.array(found) == pytest.approx(np.array(state.load_points), abs=2e-6)
    ends = (system.lineList[0].TA, system.lineList[-1].TB)
    assert ends == pytest.approx((span.tension_left, span.tension_right), rel=1e-5)


@pytest.mark.parametrize("slack", [0.997, 1.0005, 1.02, 1.4])
@pytest.mark.parametrize("rise", [0.0, 3.0, -8.0])
@pytest.mark.parametrize("stiffness", [2e4, 1.7e6])
def test_single_catenary_has_the_library_s_end_forces(slack, rise, stiffness):
    from moorpy.Catenary import catenary

    length = float(np.hypot(20.0, rise)) * slack
    (span,) = hang_cable(Cable((20.0,), (length,), (rise,), 2.5, stiffness)).spans
    # the library's end A is the lower one
    h, v_low, _, v_high = catenary(20.0, abs(rise), length, stiffness, 2.5, CB=-1e6, Tol=1e-12, MaxIter=200)[:4]
    low, high = (span.v_left, span.v_right) if rise >= 0 else (-span.v_right, -span.v_left)
    assert [span.horizontal, low, high] == pytest.approx([h, v_low, -v_high], rel=1e-7, abs=1e-6)
