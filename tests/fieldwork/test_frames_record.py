"""The record of one's own evenings: added to, never rewritten."""

import os
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from lowsun.errors import InputFileError
from lowsun.fieldwork.frames import record
from lowsun.fieldwork.frames.measuring import Reading
from lowsun.stage.frame_reader import sheet

WHEN = datetime(2027, 3, 20, 18, 50, tzinfo=UTC)
FOUND = [
    ("a.jpg", Reading(time_utc=WHEN, pieces=1, green=False, axis_ratio=0.91)),
    ("b,c.jpg", Reading(pieces=1, green=True, green_px=40, green_peak=0.5, axis_ratio=0.84,
                        upper_green_over_red_px=1.25)),
]  # fmt: skip


def test_an_evening_is_told_in_a_line(tmp_path):
    line = record.line_of(tmp_path / "cliff", FOUND)
    assert line == record.Line("2027-03-20", "cliff", "2", "1", "b,c.jpg", "0.8400", "1.25", "")


def test_evenings_are_added_once_and_notes_stay(tmp_path):
    path, line = tmp_path / "evenings.csv", record.line_of("cliff", FOUND)
    assert record.add(path, line) == []
    noted = path.read_text().rstrip("\n") + "swell, gulls"  # without a line's end, as editors leave
    noted = noted.replace("swell, gulls", '"swell, gulls"')
    path.write_text(noted)
    assert record.add(path, line) == []
    assert path.read_text() == noted
    later = replace(line, date="2027-03-21")
    earlier = record.add(path, later)
    assert [old.note for old in earlier] == ["swell, gulls"]
    assert [each.date for each in record.lines(path)] == ["2027-03-20", "2027-03-21"]
    assert record.lines(path)[1] == later


@pytest.mark.parametrize("content", [b"mine,all mine\n1,2\n", b"\xff\xfe\x00date"])
def test_a_foreign_file_is_refused_and_left(tmp_path, content):
    path = tmp_path / "evenings.csv"
    path.write_bytes(content)
    with pytest.raises(InputFileError, match=r"evenings\.csv"):
        record.add(path, record.Line())
    assert path.read_bytes() == content


def test_earlier_evenings_stand_on_the_page_latest_first(tmp_path):
    old = [record.Line(date=f"2026-0{month}-01", folder="<b>") for month in (4, 9, 7)]
    sheet.write(tmp_path, tmp_path, [], earlier=old)
    page = (tmp_path / "frames.html").read_text(encoding="utf-8")
    assert page.index("2026-09-01") < page.index("2026-07-01") < page.index("2026-04-01")
    assert "<td>&lt;b&gt;</td>" in page
    sheet.write(tmp_path, tmp_path, [])
    assert "Earlier" not in (tmp_path / "frames.html").read_text(encoding="utf-8")


def test_a_pipe_is_no_record(tmp_path):
    os.mkfifo(tmp_path / "evenings.csv")
    with pytest.raises(InputFileError, match="regular file"):
        record.lines(tmp_path / "evenings.csv")
