"""Made house.csv, house.dxf, house.geojson and house.ifc: ``python tests/data/houses/make.py [FOLDER]``."""

import json
import math
import sys
from pathlib import Path

WIDE, DEEP, EAVE, RIDGE, THICK = 9.0, 6.0, 3.0, 6.0, 0.2
SOUTH = [(0, 0, EAVE), (WIDE, 0, EAVE), (WIDE, DEEP / 2, RIDGE), (0, DEEP / 2, RIDGE)]
NORTH = [(WIDE, DEEP, EAVE), (0, DEEP, EAVE), (0, DEEP / 2, RIDGE), (WIDE, DEEP / 2, RIDGE)]
#: Where the footprint lies, and metres per degree there (arcs on the WGS 84 ellipsoid at 45 deg N). [deg], [m]
LON, LAT, EAST, NORTH_M = -30.0, 45.0, 78_846.835, 111_131.778


def csv_text() -> str:
    lines = ["# An invented house.", "facet,corner,x [m],y [m],z [m]"]
    for name, ring in (("south", SOUTH), ("north", NORTH)):
        lines += [f"{name},{number},{x:g},{y:g},{z:g}" for number, (x, y, z) in enumerate(ring, 1)]
    return "\n".join([*lines, "ground,,4,-1,0", ""])


def geojson_text() -> str:
    corners = [(0, 0), (WIDE, 0), (WIDE, DEEP), (0, DEEP), (0, 0)]
    ring = [[round(LON + x / EAST, 9), round(LAT + y / NORTH_M, 9)] for x, y in corners]
    properties = {"name": "An invented house", "form": "gable", "pitch": "45 deg", "eave_height": "3 m"}
    geometry = {"type": "Polygon", "coordinates": [ring]}
    feature = {"type": "Feature", "id": "house", "properties": properties, "geometry": geometry}
    return json.dumps({"type": "FeatureCollection", "features": [feature]}, indent=1) + "\n"


def write_dxf(path: Path) -> None:
    import ezdxf

    document = ezdxf.new("R2010")
    document.units = 2  # feet
    document.layers.add("ROOF")
    document.layers.add("WALLS")
    space = document.modelspace()
    feet = 1 / 0.3048
    for a, b, c, d in (SOUTH, NORTH):
        for triangle in ((a, b, c), (a, c, d)):
            corners = [[feet * one for one in corner] for corner in triangle]
            space.add_3dface([*corners, corners[2]], dxfattribs={"layer": "ROOF"})
    for x0, y0, x1, y1 in ((0, 0, WIDE, 0), (WIDE, 0, WIDE, DEEP), (WIDE, DEEP, 0, DEEP), (0, DEEP, 0, 0)):
        corners = [(x0, y0, 0), (x1, y1, 0), (x1, y1, EAVE), (x0, y0, EAVE)]
        space.add_3dface([[feet * one for one in corner] for corner in corners], dxfattribs={"layer": "WALLS"})
    document.saveas(path)


def _slab(first: int, name: str, guid: str, corner: str, axis: str, along: str) -> list[str]:
    """Slab whose upper face starts at a corner of the eave: `along` runs along it, `axis` stands square to it."""
    long, slope, thick = 1000 * WIDE, 1000 * math.hypot(DEEP / 2, RIDGE - EAVE), 1000 * THICK
    n = first
    return [
        f"#{n}=IFCCARTESIANPOINT({corner});",
        f"#{n + 1}=IFCDIRECTION({axis});",
        f"#{n + 2}=IFCDIRECTION({along});",
        f"#{n + 3}=IFCAXIS2PLACEMENT3D(#{n},#{n + 1},#{n + 2});",
        f"#{n + 4}=IFCLOCALPLACEMENT(#32,#{n + 3});",
        f"#{n + 5}=IFCCARTESIANPOINT(({long / 2:.6f},{slope / 2:.6f}));",
        f"#{n + 6}=IFCAXIS2PLACEMENT2D(#{n + 5},$);",
        f"#{n + 7}=IFCRECTANGLEPROFILEDEF(.AREA.,$,#{n + 6},{long:.6f},{slope:.6f});",
        f"#{n + 8}=IFCEXTRUDEDAREASOLID(#{n + 7},$,#21,{thick:.6f});",
        f"#{n + 9}=IFCSHAPEREPRESENTATION(#13,'Body','SweptSolid',(#{n + 8}));",
        f"#{n + 10}=IFCPRODUCTDEFINITIONSHAPE($,$,(#{n + 9}));",
        f"#{n + 11}=IFCSLAB('{guid}',$,'{name}',$,$,#{n + 4},#{n + 10},$,.ROOF.);",
    ]


def ifc_text() -> str:
    half = f"{math.sqrt(0.5):.9f}"
    return "\n".join(
        [
            "ISO-10303-21;",
            "HEADER;",
            "FILE_DESCRIPTION(('An invented house'),'2;1');",
            "FILE_NAME('house.ifc','2026-01-01T00:00:00',(''),(''),'','','');",
            "FILE_SCHEMA(('IFC4'));",
            "ENDSEC;",
            "DATA;",
            "#10=IFCCARTESIANPOINT((0.,0.,0.));",
            "#11=IFCAXIS2PLACEMENT3D(#10,$,$);",
            "#12=IFCDIRECTION((0.,1.));",
            "#13=IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-5,#11,#12);",
            "#14=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);",
            "#15=IFCUNITASSIGNMENT((#14));",
            "#16=IFCPROJECT('0Invented0Project00001',$,'An invented house',$,$,$,$,(#13),#15);",
            "#20=IFCDIRECTION((0.,0.,1.));",
            "#21=IFCDIRECTION((0.,0.,-1.));",
            "#28=IFCCARTESIANPOINT((100000.,50000.,0.));",
            "#29=IFCAXIS2PLACEMENT3D(#28,$,$);",
            "#30=IFCLOCALPLACEMENT($,#29);",
            "#31=IFCBUILDING('0Invented0Building0001',$,'House',$,$,#30,$,$,.ELEMENT.,$,$,$);",
            "#32=IFCLOCALPLACEMENT(#30,#11);",
            "#33=IFCBUILDINGSTOREY('0Invented0Storey000001',$,'Ground floor',$,$,#32,$,$,.ELEMENT.,0.);",
            "#34=IFCRELAGGREGATES('0Invented0Rel000000001',$,$,$,#16,(#31));",
            "#35=IFCRELAGGREGATES('0Invented0Rel000000002',$,$,$,#31,(#33));",
            "#36=IFCROOF('0Invented0Roof00000001',$,'Roof',$,$,#32,$,$,.GABLE_ROOF.);",
            "#37=IFCRELCONTAINEDINSPATIALSTRUCTURE('0Invented0Rel000000003',$,$,$,(#36),#33);",
            "#38=IFCRELAGGREGATES('0Invented0Rel000000004',$,$,$,#36,(#51,#71));",
            *_slab(40, "south slope", "0Invented0Slab00000001", "(0.,0.,3000.)", f"(0.,-{half},{half})", "(1.,0.,0.)"),
            *_slab(
                60, "north slope", "0Invented0Slab00000002", "(9000.,6000.,3000.)", f"(0.,{half},{half})", "(-1.,0.,0.)"
            ),
            "ENDSEC;",
            "END-ISO-10303-21;",
            "",
        ]
    )


def write_all(folder: Path) -> None:
    (folder / "house.csv").write_text(csv_text(), encoding="utf-8")
    (folder / "house.geojson").write_text(geojson_text(), encoding="utf-8")
    (folder / "house.ifc").write_text(ifc_text(), encoding="utf-8")
    write_dxf(folder / "house.dxf")


if __name__ == "__main__":
    write_all(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
