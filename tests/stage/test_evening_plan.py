"""The plan's files, read back by other programs than wrote them."""

import shutil
import subprocess
from datetime import UTC, date, datetime, timedelta
from importlib.resources import files
from io import BytesIO

import numpy as np
import pytest
import vobject
import zxingcpp
from PIL import Image

from lowsun import sky
from lowsun.__main__ import main
from lowsun.errors import InputError, OutputFileError
from lowsun.fieldwork import plan as planning
from lowsun.fieldwork.camera import Camera
from lowsun.scenes import plan_words
from lowsun.stage import evening_plan
from lowsun.stage.evening_plan import code
from lowsun.stage.evening_plan.calendar import calendar
from lowsun.stage.evening_plan.sheet import sheet

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
    left = sorted(path.suffix for path in tmp_path.iterdir())
    assert left == [".pdf", ".png", ".txt"]
    evening_plan.write(plan, tmp_path, overwrite=True)
    assert "LAST SLIVER" in noted.read_text(encoding="utf-8")


def test_a_folder_that_cannot_be_made_is_named(plan, tmp_path):
    with pytest.raises(OutputFileError, match="There is no folder"):
        evening_plan.write(plan, tmp_path / "missing" / "plan")
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputFileError, match="cannot be made"):
        evening_plan.write(plan, tmp_path / "file")


def test_what_is_no_plan_list_paper_or_span_is_named_before_anything_is_made(plan, tmp_path):
    folder = tmp_path / "plan"
    for given, said in (
        ({"plan": "tonight"}, "give a Plan"),
        ({"items": "boots"}, "give a list of sentences"),
        ({"paper": ["a4"]}, "give one of a4, letter"),
        ({"folder": None}, "give the name of a file"),
        ({"overwrite": "no"}, "give True or False"),
    ):
        with pytest.raises(InputError, match=said):
            evening_plan.write(**{"plan": plan, "folder": folder} | given)
    day = plan.date
    found = planning.evenings(plan.place, day, day, 250, 300)
    for span, said in (
        (day, "the first and the last date"),
        ((day,), "give the first and the last date"),
        ((day, "later"), "span is 'later'; give a datetime.date"),
    ):
        with pytest.raises(InputError, match=said):
            evening_plan.write_evenings(found, span, folder)
    assert not folder.exists()


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
    assert "Over 3 airs (12 °C; 1003 to 1023 hPa; lapse" in told
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


# --- the sheet --------------------------------------------------------------------------------


def _poppler(program, content, tmp_path, *more):
    """What one of Debian's poppler tools says of a PDF."""
    if shutil.which(program) is None:
        pytest.skip(f"{program} of poppler-utils is not installed")
    path = tmp_path / "sheet.pdf"
    path.write_bytes(content)
    asked = [program, str(path), *more]
    return subprocess.run(asked, capture_output=True, text=True, check=True).stdout


@pytest.mark.parametrize(("paper", "size"), [("a4", "595.28 x 841.89"), ("letter", "612 x 792")])
def test_one_sheet_tagged_of_its_paper(paper, size, plan, tmp_path):
    told = _poppler("pdfinfo", sheet(plan, paper=paper), tmp_path)
    assert "Pages:           1" in told
    assert "Tagged:          yes" in told
    assert size in told
    assert "Title:           Evening plan: the lighthouse, Monday 21 Jun 2027" in told


def test_every_font_is_inside(plan, tmp_path):
    lines = _poppler("pdffonts", sheet(plan), tmp_path).splitlines()[2:]
    assert len(lines) == 3
    for line in lines:
        embedded, subset, unicode = line.split()[-5:-2]
        assert (embedded, subset, unicode) == ("yes", "yes", "yes")


def test_all_words_of_the_plan_can_be_taken_from_the_sheet(plan, tmp_path):
    words = " ".join(_poppler("pdftotext", sheet(plan), tmp_path, "-raw", "-").split())
    for line in plan_words.table(plan):
        assert " ".join(line.split()) in words
    for name, sentences in plan_words.sections(plan):
        assert name in words
        for sentence in sentences:
            assert " ".join(sentence.split()) in words


def test_tags_tell_headings_text_and_pictures(plan, tmp_path):
    structure = _poppler("pdfinfo", sheet(plan), tmp_path, "-struct-text")
    assert structure.count("H2 (block)") == len(plan_words.sections(plan))
    assert structure.count("Figure") == 2
    assert "Evening plan: the lighthouse" in structure.split("H1")[1]


def test_black_on_white(plan, tmp_path):
    _poppler("pdftoppm", sheet(plan), tmp_path, "-r", "40", "-png", str(tmp_path / "page"))
    page = np.asarray(Image.open(next(tmp_path.glob("page*.png"))).convert("L"))
    assert np.median(page) == 255
    assert 0.02 < np.mean(page < 128) < 0.25
    edge = np.concatenate([page[:8].ravel(), page[-8:].ravel(), page[:, :8].ravel()])
    assert edge.min() == 255  # nothing runs off the paper


def test_a_list_too_long_for_one_sheet_is_refused(plan):
    with pytest.raises(InputError, match="too long for one sheet"):
        sheet(plan, ["Check the tide again. " * 6] * 60)
    with pytest.raises(InputError, match="paper is 'a5'"):
        sheet(plan, paper="a5")


def test_the_code_is_read_back_by_another_program(plan):
    read = zxingcpp.read_barcodes(Image.open(BytesIO(code.png(plan))))
    assert [one.text for one in read] == [plan_words.short_text(plan)]


def test_an_ascent_and_a_visibility_in_place_of_guesses(tmp_path, capsys):
    ascent = files("lowsun.data") / "soundings" / "arctic-coast-igra2.txt"
    asked = ["plan", "--date", "2027-06-21", "--airs", "2", "--folder", str(tmp_path)]
    given = [*asked, "--sounding", str(ascent), "--visibility", "80"]
    assert main([*given, "--ascent", "2"]) == 0
    told = " ".join((tmp_path / "evening-2027-06-21.txt").read_text(encoding="utf-8").split())
    assert "Over 2 airs (sea -2 to 2 K warmer than the air)" in told
    assert "the haze given" in told
    capsys.readouterr()
    assert main([*given, "--ascent", "9", "--overwrite"]) == 1
    assert "--ascent is 9;" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["lighthouse", "ice_camp", "valley"])
def test_the_demonstrations_are_presets(name, tmp_path, capsys):
    preset = files("lowsun.data") / f"evening_{name}.toml"
    asked = ["plan", "--date", "2027-09-24", "--airs", "2", "--folder", str(tmp_path)]
    assert main([*asked, "--preset", str(preset)]) == 0
    printed = capsys.readouterr().out
    assert f"Evening plan: the {name.replace('_', ' ')}," in printed
    assert ("The skyline moves with you" in printed) == (name == "valley")
    assert len(list(tmp_path.iterdir())) == 4
