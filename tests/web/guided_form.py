"""A guided form as somebody would fill it in; all of it invented."""

FORM = {
    "job.name": "Barn", "job.units": "metric", "job.rules": "eu-uk", "shape": "rectangle", "width": "10 m",
    "depth": "8 m", "roof.form": "gable", "roof.pitch": "30 deg", "roof.eave_height": "4 m", "roof.overhang": "0.3 m",
    "anchors": "1", "workers": "1", "anchor[0].name": "A1", "anchor[0].at[0]": "5 m", "anchor[0].at[1]": "4 m",
    "anchor[0].strength": "22 kN", "anchor[0].basis": "ultimate", "rope.main.diameter": "11 mm",
    "rope.main.strength": "29 kN", "lanyard.main.length": "0.9 m", "lanyard.main.absorber.force": "4 kN",
    "lanyard.main.absorber.length": "1 m", "grab.main.lock": "5 cm to 15 cm", "grab.main.slip": "0 cm to 15 cm",
    "crew[0].name": "Worker 1", "crew[0].mass": "90 kg to 100 kg", "crew[0].d_ring": "1.45 m",
    "line[0].anchor": "A1", "line[0].length": "3 m", "kit.connector_strength": "22 kN",
}  # fmt: skip
