"""A roof out of a file that was sent: the invented house of ``tests/data/houses`` and open city models.

Expected values: the house as its README describes it (9 m by 6 m, eaves at 3 m, 45 deg): two facets of 9 m times the
root of 18 m, 76.4 m2 together. Counts of the city models: their own README.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

DATA = Path(__file__).parents[1] / "data"
HOUSE = DATA / "houses/house.csv"
CITY = DATA / "roofs/denhaag_4b.city.json"


def send(client, path: Path, to="/jobs/from-file", content: bytes | None = None, **fields):
    content = path.read_bytes() if content is None else content
    return client.send(to, fields, files={"file": (path.name, content, "application/octet-stream")})


def sent(client, path: Path, to="/jobs/from-file", **more) -> str:
    answer = send(client, path, to, **more)
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def ids(page: str) -> list[str]:
    return re.findall(r'name="building" value="([^"]+)"', page)


def names(page: str) -> list[str]:
    return re.findall(r"<h2>([^<]+)</h2>", page)


def faults(page: str) -> str:
    return " ".join(re.findall(r'class="fault"[^>]*>(.*?)</p>', page, re.DOTALL))


@pytest.mark.parametrize("ending", ["csv", "dxf", "geojson", "ifc"])
def test_house_of_every_format_is_offered_with_its_facets_and_area(client, ending):
    page = client.get(sent(client, HOUSE.with_suffix(f".{ending}"))).text
    assert len(ids(page)) == 1
    assert "2 facets, 76.4 m2" in page.replace("²", "2")
    assert "pitch 45°" in page
    assert '<path class="facet"' in page


def test_building_of_a_city_model_becomes_a_new_job(client):
    where = sent(client, CITY)
    wanted = ids(client.get(where).text)[1]
    answer = client.send(where, {"building": wanted, "name": "Harbour shed (invented)"})
    assert answer.status_code == 303
    number = re.search(r"/jobs/(\d+)/draw", answer.headers["location"])[1]
    text = client.get(f"/jobs/{number}/file").text
    assert f'building = "{wanted}"' in text
    assert 'name = "Harbour shed (invented)"' in text
    told = client.get(f"/api/drawing/{number}").json()
    assert len(told["live"]["roof"]["facets"]) > 0
    site = told["live"]["site"]
    assert [one["name"] for one in site["levels"]] == ["ground"]
    assert site["obstacles"] == site["power"] == []


def test_building_that_is_refused_says_why_and_cannot_be_chosen(client):
    where = sent(client, DATA / "roofs/delft_lod1_nosemantics.city.json")
    page = client.get(where).text
    assert "can't be used" in page
    assert "level of detail" in page
    assert ids(page) == []
    answer = client.send(where, {"building": "whatever"})
    assert answer.status_code == 422


def test_many_buildings_are_found_by_their_ids(client):
    where = sent(client, DATA / "roofs/prague_bubenec_144b.geojson")
    page = client.get(where).text
    assert "of 144 buildings are shown" in page
    assert set(names(client.get(where, params={"find": "14"}).text)) == {"14", "114", *map(str, range(140, 145))}


BARE = HOUSE.read_text(encoding="utf-8").replace(" [m]", "")


def test_unit_that_a_file_does_not_say_is_asked_for_at_its_field(client):
    answer = send(client, HOUSE, content=BARE.encode())
    assert answer.status_code == 422
    assert "unit" in faults(answer.text)
    assert client.get(sent(client, HOUSE, content=BARE.encode(), length_unit="ft")).status_code == 200


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("house.txt", b"x", "give a file that ends in"),
        ("house.json", b"{", ""),
        ("house.ifc", b"ISO-10303-21; and no more", ""),
        ("house.dxf", b"0\nSECTION\n", ""),
        ("house.csv", b"a,b\n1,2\n", ""),
        ("house.json", b"\x00\x01", "its content is not what its name says"),
        ("house.json", b" " * ((16 << 20) + 1), "at most 16 MiB"),
    ],
    ids=["ending", "broken json", "broken ifc", "broken dxf", "broken csv", "no text", "too large"],
)
def test_bad_upload_says_at_its_field_what_is_wrong(client, name, content, said):
    answer = send(client, Path(name), content=content)
    assert answer.status_code == 422
    assert 'aria-describedby="hint-file fault-file" aria-invalid="true"' in answer.text
    assert said in faults(answer.text)
    assert "/tmp" not in answer.text


def test_file_that_is_kept_no_more_is_not_there(client):
    assert client.get("/jobs/from-file/nothing").status_code == 404


@pytest.fixture
def job(client):
    answer = client.send("/jobs/example")
    return int(answer.headers["location"].rsplit("/", 1)[1])


def test_roof_of_a_job_is_replaced_and_the_past_state_stays(client, job):
    before = client.get(f"/jobs/{job}/file").text
    small = {"content": BARE.encode(), "length_unit": "ft"}  # 9 ft by 6 ft: the anchor at 5.5 m is off it
    where = sent(client, HOUSE, f"/jobs/{job}/roof-file", **small)
    page = client.get(where).text
    based_on = re.search(r'name="based_on" value="(\d+)"', page)[1]
    choice = {"building": ids(page)[0], "based_on": based_on}
    refused = client.send(where, choice)
    assert refused.status_code == 422
    assert "anchor[0].at" in refused.text
    assert client.get(f"/api/jobs/{job}").json()["version"] == 1
    assert client.send(where, {**choice, "fit": "yes"}).status_code == 303
    told = client.get(f"/api/drawing/{job}").json()
    assert told["version"] == 2
    assert len(told["live"]["roof"]["facets"]) == 2
    assert told["live"]["roof"]["openings"] == []
    assert client.get(f"/jobs/{job}/file", params={"version": 1}).text == before


def test_file_of_a_past_state_is_not_written_over_by_another_of_its_name(client, job):
    for content in (HOUSE.read_bytes(), HOUSE.read_bytes().replace(b"6", b"7")):
        where = sent(client, HOUSE, f"/jobs/{job}/roof-file", content=content)
        page = client.get(where).text
        based_on = re.search(r'name="based_on" value="(\d+)"', page)[1]
        choice = {"building": ids(page)[0], "based_on": based_on, "fit": "yes"}
        assert client.send(where, choice).status_code == 303
    assert 'file = "house-2.csv"' in client.get(f"/jobs/{job}/file").text
    assert 'file = "house.csv"' in client.get(f"/jobs/{job}/file", params={"version": 2}).text


def test_roof_is_not_replaced_in_a_job_that_somebody_changed_meanwhile(client, job):
    where = sent(client, HOUSE, f"/jobs/{job}/roof-file")
    building = ids(client.get(where).text)[0]
    answer = client.send(where, {"building": building, "based_on": "7", "fit": "yes"})
    assert answer.status_code == 422
    assert "somebody changed the job meanwhile" in answer.text


def test_ground_that_is_no_length_is_told_at_its_field(client):
    where = sent(client, HOUSE)
    building = ids(client.get(where).text)[0]
    answer = client.send(where, {"building": building, "ground": "low"})
    assert answer.status_code == 422
    assert 'id="fault-ground"' in answer.text


def test_stranger_sends_nothing(stranger):
    assert stranger.get("/jobs/from-file").status_code in (303, 401, 403)
