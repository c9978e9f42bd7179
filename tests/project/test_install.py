"""What an installation brings along: licences, version, oldest packages, notebooks."""

import os
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

import lowsun
import oldest

ROOT = Path(__file__).parents[2]
LIB = ROOT / "lib"


def test_the_wheels_licence_is_that_of_the_repository():
    assert (LIB / "LICENSE").read_bytes() == (ROOT / "LICENSE").read_bytes()


def test_citation_and_changes_name_the_version():
    citation = (LIB / "CITATION.cff").read_text(encoding="utf-8")
    assert re.search(r"^version: (.*)$", citation, re.MULTILINE)[1] == lowsun.__version__
    assert f"\n## {lowsun.__version__}\n" in (LIB / "CHANGELOG.md").read_text(encoding="utf-8")


def test_every_dependency_has_a_lower_bound_to_try():
    pins = oldest.pins(LIB / "pyproject.toml")
    wanted = re.search(r"\ndependencies = \[(.*?)\n\]", (LIB / "pyproject.toml").read_text(), re.S)
    assert len(pins) == len(wanted[1].strip().splitlines())
    assert "numpy==2.0.*" in pins


@pytest.mark.slow
def test_the_wheel_carries_notebooks_and_licences(tmp_path):
    pytest.importorskip("setuptools", "77", "setuptools, which builds the wheel, is not installed")
    for name in ("lib", "notebooks"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("*.egg-info"))
    shutil.copy(ROOT / "README.md", tmp_path)
    command = [
        "pip",
        "wheel",
        "--no-deps",
        "--no-build-isolation",
        "--quiet",
        "-w",
        tmp_path,
        "./lib",  # a bare name would be looked for in a registry
    ]
    subprocess.run([sys.executable, "-m", *command], check=True, cwd=tmp_path, timeout=300)
    with zipfile.ZipFile(next(tmp_path.glob("*.whl"))) as wheel:
        names = wheel.namelist()
        notes = next(name for name in names if name.endswith("METADATA"))
        assert "# lowsun" in wheel.read(notes).decode("utf-8")
    assert {Path(name).name for name in names if "/licenses/" in name} == {
        "LICENSE",
        "LICENSE-CONTENT.md",
    }
    shipped = {Path(name).name for name in names if "shipped/notebooks/" in name}
    assert {path.name for path in (ROOT / "notebooks").glob("*.ipynb")} < shipped


@pytest.mark.parametrize(("given", "kept"), [(None, "1"), ("3", "3")])
def test_linear_algebra_takes_one_thread_unless_told_otherwise(given, kept):
    told = {} if given is None else {"OPENBLAS_NUM_THREADS": given}
    others = {name: text for name, text in os.environ.items() if name != "OPENBLAS_NUM_THREADS"}
    program = (
        "import sys, lowsun; assert 'numpy' not in sys.modules;"
        " import os; print(os.environ['OPENBLAS_NUM_THREADS'])"
    )
    asked = [sys.executable, "-c", program]
    run = subprocess.run(asked, capture_output=True, text=True, check=True, env=others | told)
    assert run.stdout.strip() == kept
