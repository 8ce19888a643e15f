"""Longitude and latitude as local metres, held against PROJ: its topocentric conversion and its geodesic lengths."""

import numpy as np
import pyproj
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.readers.local_plane import local_metres

LATITUDES = st.floats(-89.0, 89.0)
LONGITUDES = st.floats(-180.0, 180.0)
AWAY = st.floats(-500.0, 500.0)


@given(lon=LONGITUDES, lat=LATITUDES, east=AWAY, north=AWAY)
@settings(deadline=None, max_examples=80)
def test_plan_coordinates_are_those_of_proj(lon, lat, east, north):
    geod = pyproj.Geod(ellps="WGS84")
    there = geod.fwd(lon, lat, np.degrees(np.arctan2(east, north)), np.hypot(east, north))[:2]
    topocentric = pyproj.Transformer.from_pipeline(
        "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=cart +ellps=WGS84 "
        f"+step +proj=topocentric +ellps=WGS84 +lon_0={lon!r} +lat_0={lat!r} +h_0=0"
    )
    expected = topocentric.transform(*there, 0.0)[:2]
    assert local_metres([there], [lon, lat])[0] == pytest.approx(expected, abs=1e-6)


@given(lon=LONGITUDES, lat=LATITUDES, azimuth=st.floats(0.0, 360.0), length=st.floats(0.1, 1000.0))
@settings(deadline=None, max_examples=80)
def test_lengths_are_short_by_no_more_than_is_said(lon, lat, azimuth, length):
    """0.004 mm at 1 km, and 0.01 mm for the rounding of degrees."""
    there = pyproj.Geod(ellps="WGS84").fwd(lon, lat, azimuth, length)[:2]
    made = float(np.hypot(*local_metres([there], [lon, lat])[0]))
    assert made == pytest.approx(length, abs=1.5e-5)
