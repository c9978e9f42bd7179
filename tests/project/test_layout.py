"""The project's own promises: what lies at the top, and that CI runs what the README says."""

import importlib
import re
import subprocess
from pathlib import Path
from types import ModuleType

import pytest

from lowsun import scenes
from lowsun.scenes.caution import RULES, SHORT, whole

ROOT = Path(__file__).parents[2]
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "requirements.txt",
    "notebooks",
    "lib",
    "tests",
    "figures",
}


def tracked():
    listing = subprocess.run(
        ["git", "-C", ROOT, "ls-files"], capture_output=True, text=True, check=False
    )
    if listing.returncode:
        pytest.skip("not a git checkout: which files belong to the project is not known")
    return listing.stdout.splitlines()


def test_top_level_holds_what_the_handbook_says():
    top = {name.split("/")[0] for name in tracked()}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL


def test_ci_runs_the_test_command_of_the_readme():
    script = (ROOT / ".ci/run").read_text(encoding="utf-8")
    setup, tests = (
        re.search(rf"^{name}='(.*)'$", script, re.MULTILINE)[1] for name in ("setup", "tests")
    )
    assert f"\n{setup} && {tests}\n" in (ROOT / "README.md").read_text(encoding="utf-8")
    assert f"\n{tests} " in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert 'eval "$setup"' in script
    assert "; $tests" in script


def test_every_dependency_says_what_it_is_for():
    lines = (ROOT / "lib/pyproject.toml").read_text(encoding="utf-8").splitlines()
    named = [line for line in lines if re.match(r'    "[\w\-\[\]]+[<>=~]', line)]
    assert len(named) > 10
    assert not [line for line in named if "#" not in line and "pytest>" not in line]


def test_every_package_of_the_kit_is_pinned():
    pinned = {_plain(line) for line in (ROOT / "requirements.txt").read_text().splitlines()}
    text = (ROOT / "lib/pyproject.toml").read_text(encoding="utf-8")
    wanted = re.search(r"\ndependencies = \[(.*?)\n\]", text, re.DOTALL)[1]
    assert {_plain(name) for name in re.findall(r'"([\w\-]+)', wanted)} <= pinned


def _plain(requirement):
    return re.split(r"[=<>~ #]", requirement.strip())[0].lower().replace("_", "-")


def test_python_example_of_the_readme_prints_what_it_says(capsys):
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    example = re.search(r"```python\n(.*?)```", readme, re.DOTALL)[1]
    exec(compile(example, "README.md", "exec"), {})  # our own text, not a visitor's
    assert capsys.readouterr().out.strip() == re.search(r"print\(.*\)\s+# (.*)", example)[1]


def test_caution_of_the_readme_is_the_kits_own():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    safety = readme.split("## Safety\n\n")[1].split("\n\n")[0]
    last = whole().rstrip().splitlines()[-1]
    assert " ".join(safety.split()) == f"{SHORT} {RULES} {last}"


@pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
def test_figures_show_what_the_scenes_show_now(scene):
    # `python -m lowsun figures --overwrite` renders them again.
    captions = (ROOT / "figures/README.md").read_text(encoding="utf-8")
    assert scene.sentence() in captions
    for name in (f"{scene.name}.png", f"{scene.name}-print.png"):
        assert (ROOT / "figures" / name).stat().st_size > 20_000


LIB = ROOT / "lib"
ROOMS = sorted(path.parent for path in (LIB / "lowsun").glob("*/**/__init__.py"))


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: room.relative_to(LIB).as_posix())
def test_no_function_of_a_room_hides_a_module(room):
    modules = {path.stem for path in room.iterdir() if path.suffix == ".py" or path.is_dir()}
    package = importlib.import_module(".".join(room.relative_to(LIB).parts))
    named = {
        name: getattr(package, name) for name in modules - {"__init__"} if hasattr(package, name)
    }
    assert [name for name, each in named.items() if not isinstance(each, ModuleType)] == []


def test_files_that_the_handbook_names_exist():
    handbook = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = set(re.findall(r"`([\w./-]+\.(?:py|js|css|toml|txt|csv|md|sh))`", handbook))
    kept = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True)
    there = ["/" + path for path in kept.stdout.splitlines()]
    missing = {name for name in named if not any(path.endswith("/" + name) for path in there)}
    assert len(named) > 20
    assert not missing
