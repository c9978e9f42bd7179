"""Try the oldest packages that the kit says it works with, in a virtual environment.

Every lower bound in lib/pyproject.toml is pinned, at its last correction; the kit is
installed beside them from a copy, so that nothing is built in the tree, and `check` and `compare`
must pass.

python tests/support/oldest.py [--folder /tmp/oldest]
"""

import argparse
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

LIB = Path(__file__).parents[2] / "lib"
ASKED = (["check"], ["compare"])


def pins(pyproject):
    """The lower bound of every dependency, as a requirement that allows nothing newer."""
    wanted = tomllib.loads(pyproject.read_text(encoding="utf-8"))["project"]["dependencies"]
    bounds = [re.match(r"([\w.\-]+)>=([\w.]+)", each) for each in wanted]
    return [f"{name}=={version}.*" for name, version in (bound.groups() for bound in bounds)]


def _copied(folder):
    """What a wheel is built from, in a folder of its own; returns its lib/."""
    shutil.rmtree(folder, ignore_errors=True)
    for name in ("lib", "notebooks"):
        shutil.copytree(LIB.parent / name, folder / name, ignore=shutil.ignore_patterns("build"))
    shutil.copy(LIB.parent / "README.md", folder)
    return folder / "lib"


def main():
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--folder", type=Path, default=Path("/tmp/lowsun-oldest"))
    folder = options.parse_args().folder
    subprocess.run([sys.executable, "-m", "venv", folder], check=True)
    python = folder / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")
    constraints = folder / "oldest.txt"
    constraints.write_text("\n".join(pins(LIB / "pyproject.toml")) + "\n", encoding="utf-8")
    copied = _copied(folder / "source")
    install = ["-m", "pip", "install", "--quiet", "--prefer-binary", "-c", constraints, copied]
    subprocess.run([python, *install], check=True)
    for command in ASKED:
        subprocess.run([python, "-m", "lowsun", *command], check=True, cwd=folder)
    print("The oldest packages will do:", *pins(LIB / "pyproject.toml"), sep="\n  ")


if __name__ == "__main__":
    main()
