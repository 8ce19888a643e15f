"""Jobs that are no files: nothing they name reaches a file that was not given with them."""

from __future__ import annotations

from pathlib import Path

import pytest

from ropewright.errors import InputError, InputErrors
from ropewright.job import new_job_text
from ropewright.job.changed_text import changed_text
from ropewright.job.opened import opened_job
from ropewright.job.toml_file import MAX_BYTES

TEXT = new_job_text("metric")


def faults(text, files=None):
    with pytest.raises((InputError, InputErrors)) as caught, opened_job(text, files or {}):
        pass
    return list(caught.value.exceptions) if isinstance(caught.value, InputErrors) else [caught.value]


def with_roof(lines):
    start, rest = TEXT.split("[roof]")
    return f"{start}[roof]\n{lines}\n[[anchor]]{rest.split('[[anchor]]', 1)[1]}"


def test_text_is_read_as_the_file_would_be():
    with opened_job(TEXT, {}) as job:
        assert (job.name, len(job.crew)) == ("New job", 1)


@pytest.mark.parametrize("name", ["/etc/passwd", "../house.json", "house.json", "job.toml", "./x/../job.toml"])
@pytest.mark.parametrize("key", ["file", "cityjson"])
def test_file_that_was_not_given_is_refused_unread(name, key):
    found = faults(with_roof(f'{key} = "{name}"\nbuilding = "b"'))
    assert [fault.field for fault in found] == [f"roof.{key}"]
    assert "attach this file" in found[0].expected


def test_file_that_was_given_is_read():
    lines = "6.0,4.0,3.0\n"
    found = faults(with_roof('file = "corners.csv"\nlength_unit = "m"'), {"corners.csv": lines.encode()})
    assert all("attach" not in fault.expected for fault in found)


def test_given_name_with_a_folder_is_refused():
    found = faults(with_roof('file = "../x.csv"'), {"../x.csv": b""})
    assert found[0].field == "roof.file"


@pytest.mark.parametrize("line", ['rules = "/etc/rules.toml"', 'rules = "eu-uk"\nlocal_rules = "ours.toml"'])
def test_rules_of_the_users_own_are_refused_since_they_may_name_files(line):
    found = faults(TEXT.replace('rules = "eu-uk"', line, 1))
    assert found[0].field in ("job.rules", "job.local_rules")


def test_faults_tell_nothing_of_the_folder():
    found = faults("x = ")
    found += faults(TEXT.replace('"3 m"', '"3"'))
    assert found
    assert all(fault.source is None and "ropewright-" not in str(fault) for fault in found)


def test_too_long_a_text_is_refused():
    assert "1 MiB" in str(faults("#" * (MAX_BYTES + 1))[0])


def test_nothing_is_left_behind():
    with opened_job(TEXT, {}) as job:
        folder = Path(job.path).parent
        assert folder.is_dir()
    assert not folder.exists()


def test_comments_stay_where_a_field_is_replaced():
    text = changed_text(TEXT, {"line[0].length": "2.00 m", "crew[0].trained_on": "x", "rescue.by": "A"})
    assert '"2.00 m"' in text
    assert text.count("#") == TEXT.count("#")


def test_field_of_a_named_table_is_replaced():
    text = changed_text(TEXT, {"lanyard.short.absorber": {"force": "4 kN", "length": "1 m"}})
    assert 'absorber = {force = "4 kN", length = "1 m"}' in text


def test_table_that_is_missing_is_made():
    assert '[rescue]\nby = "A"' in changed_text("[job]\n", {"rescue.by": "A"})


def test_list_of_tables_is_replaced_whole():
    text = changed_text(TEXT, {"line": [{"name": "a"}, {"name": "b"}]})
    assert text.count("[[line]]") == 2


def test_path_that_leads_nowhere_is_a_mistake():
    with pytest.raises(ValueError, match="leads nowhere"):
        changed_text(TEXT, {"line[7].length": "1 m"})
