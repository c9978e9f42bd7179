"""The plan's files, read back by other programs than wrote them."""

from datetime import UTC, date, datetime, timedelta

import pytest
import vobject

from lowsun import sky
from lowsun.__main__ import main
from lowsun.errors import OutputFileError
from lowsun.fieldwork import plan as planning
from lowsun.fieldwork.camera import Camera
from lowsun.scenes import plan_words
from lowsun.stage import evening_plan
from lowsun.stage.evening_plan.calendar import calendar

KIT = planning.Kit(Camera(400.0, 5.6, 4.0, (6000, 4000)))
LIGHTHOUSE = sky.Place("the lighthouse", 52.1, -10.4, 95.0)
SUMMER = date(2027, 6, 21)


@pytest.fixture(scope="module")
def plan():
    return planning.plan(LIGHTHOUSE, SUMMER, kit=KIT)


def test_the_calendar_read_back_by_another_parser(plan):
    events = vobject.readOne(calendar(plan).decode()).vevent_list
    assert len(events) == len(plan.timeline.steps)
    for event, step in zip(events, plan.timeline.steps, strict=True):
        assert abs(event.dtstart.value - step.when) <= timedelta(seconds=0.5)
        assert event.dtstart.value.utcoffset() == timedelta(0)
        local = (step.when + timedelta(seconds=0.5)).astimezone(LIGHTHOUSE.timezone)
        assert event.summary.value.startswith(f"{local:%H:%M:%S} IST ")
        assert plan_words.label(step) in event.summary.value
        assert "viewfinder" in event.description.value
    assert len({event.uid.value for event in events}) == len(events)


def test_alarms_sound_before_what_can_be_acted_on(plan):
    events = vobject.readOne(calendar(plan).decode()).vevent_list
    alarms = {
        event.summary.value.split(" ", 2)[2]: event.valarm.trigger.value
        for event in events
        if hasattr(event, "valarm")
    }
    assert alarms["set up by"] == timedelta(minutes=-30)
    assert alarms["LAST SLIVER"] == timedelta(minutes=-1)
    assert all(before < timedelta(0) for before in alarms.values())


def test_calendar_lines_end_and_fold_as_rfc_5545_asks(plan):
    written = calendar(plan, stamp=datetime(2027, 1, 1, tzinfo=UTC))
    lines = written.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert b"\n" not in written.replace(b"\r\n", b"")
    assert written == calendar(plan, stamp=datetime(2027, 1, 1, tzinfo=UTC))


def test_a_plan_is_never_overwritten_unasked(plan, tmp_path):
    evening_plan.write(plan, tmp_path)
    noted = tmp_path / "evening-2027-06-21.txt"
    noted.write_text("mine")
    (tmp_path / "evening-2027-06-21.ics").unlink()
    with pytest.raises(OutputFileError, match="already there and was left as it is"):
        evening_plan.write(plan, tmp_path)
    assert noted.read_text() == "mine"
    assert [path.name for path in tmp_path.iterdir()] == ["evening-2027-06-21.txt"]
    evening_plan.write(plan, tmp_path, overwrite=True)
    assert "LAST SLIVER" in noted.read_text(encoding="utf-8")


def test_a_folder_that_cannot_be_made_is_named(plan, tmp_path):
    with pytest.raises(OutputFileError, match="There is no folder"):
        evening_plan.write(plan, tmp_path / "missing" / "plan")
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputFileError, match="cannot be made"):
        evening_plan.write(plan, tmp_path / "file")


def test_the_command_writes_the_plan_and_prints_it(tmp_path, capsys):
    folder = tmp_path / "plan"
    asked = ["plan", "--date", "2027-06-21", "--folder", str(folder), "--airs", "2"]
    assert main(asked) == 0
    printed = capsys.readouterr().out
    written = (folder / "evening-2027-06-21.txt").read_text(encoding="utf-8")
    assert written in printed
    assert str(folder / "evening-2027-06-21.ics") in printed
    assert main(asked) == 1
    assert "already there" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("asked", "answer"),
    [
        (["--date", "tonight"], "date is 'tonight'; give it as 2027-03-20."),
        (["--temperature", "1", "2", "3"], "--temperature holds 3 numbers"),
        (["--focal-length", "5000"], "Take a focal length below"),
        (["--fastest", "0"], "fastest_shutter_s is 0 s"),
        (["--airs", "0"], "count is 0"),
    ],
)
def test_bad_options_are_answered(asked, answer, tmp_path, capsys):
    assert main(["plan", "--folder", str(tmp_path / "p"), *asked]) == 1
    assert answer in capsys.readouterr().err
    assert not (tmp_path / "p").exists()


def test_one_number_or_two_for_what_is_not_known(tmp_path):
    asked = ["plan", "--date", "2027-06-21", "--airs", "3", "--folder", str(tmp_path)]
    assert main([*asked, "--temperature", "12", "--sea-excess", "0", "3"]) == 0
    told = " ".join((tmp_path / "evening-2027-06-21.txt").read_text(encoding="utf-8").split())
    assert "Over 3 airs of 12 °C, 1003 to 1023 hPa" in told
    assert "sea 0 to 3 K warmer than the air" in told


def test_a_preset_is_kept_and_typed_options_win(tmp_path):
    kept, folder = tmp_path / "cliff.toml", tmp_path / "plan"
    asked = ["plan", "--date", "2027-06-21", "--airs", "2", "--folder", str(folder)]
    first = [*asked, "--longitude", "-9.5", "--temperature", "5", "9", "--save-preset", str(kept)]
    assert main(first) == 0
    before = (folder / "evening-2027-06-21.txt").read_text(encoding="utf-8")
    assert main([*asked, "--preset", str(kept), "--overwrite"]) == 0
    assert (folder / "evening-2027-06-21.txt").read_text(encoding="utf-8") == before
    assert "9.5000° W" in before
    assert main([*asked, "--longitude", "-10.4", "--preset", str(kept), "--overwrite"]) == 0
    assert "10.4000° W" in (folder / "evening-2027-06-21.txt").read_text(encoding="utf-8")


def test_the_list_in_a_preset_is_edited_by_hand(tmp_path):
    kept = tmp_path / "cliff.toml"
    kept.write_text('readiness = ["Tea for {minutes} minutes."]\n')
    asked = ["plan", "--date", "2027-06-21", "--airs", "2", "--folder", str(tmp_path / "plan")]
    assert main([*asked, "--preset", str(kept)]) == 0
    assert "[ ] Tea for" in (tmp_path / "plan" / "evening-2027-06-21.txt").read_text("utf-8")


@pytest.mark.parametrize(
    ("content", "answer"),
    [
        ("latitude = ", "is not TOML"),
        ('readiness = ["{tea}"]', "asks for tea"),
        ("latitude = {}", "give a number, text or a list"),
    ],
)
def test_a_damaged_preset_is_reported_and_left_alone(content, answer, tmp_path, capsys):
    kept = tmp_path / "cliff.toml"
    kept.write_text(content)
    asked = ["plan", "--preset", str(kept), "--folder", str(tmp_path / "plan")]
    assert main(asked) == 1
    assert answer in capsys.readouterr().err
    assert kept.read_text() == content
    assert not (tmp_path / "plan").exists()


def test_an_unknown_option_in_a_preset_is_named(tmp_path, capsys):
    kept = tmp_path / "cliff.toml"
    kept.write_text("tea = 3\n")
    with pytest.raises(SystemExit):
        main(["plan", "--preset", str(kept), "--folder", str(tmp_path / "plan")])
    assert "--tea" in capsys.readouterr().err


def test_a_preset_is_not_overwritten_unasked(tmp_path, capsys):
    kept = tmp_path / "cliff.toml"
    kept.write_text("# mine\n")
    asked = ["plan", "--airs", "2", "--save-preset", str(kept), "--folder", str(tmp_path / "plan")]
    assert main(asked) == 1
    assert "already there" in capsys.readouterr().err
    assert kept.read_text() == "# mine\n"
