"""Takes along into the wheel what lies beside lib/: the README, and the notebooks for `start`."""

import shutil
from pathlib import Path

from setuptools import setup
from setuptools.command.build_py import build_py

ROOT = Path(__file__).resolve().parent.parent
README = ROOT / "README.md"
NOTEBOOKS = ROOT / "notebooks"
LEFT_OUT = shutil.ignore_patterns(".*", "__pycache__")


class WithNotebooks(build_py):
    """A build with the notebooks in it; an editable install reads them where they lie."""

    def run(self):
        super().run()
        if self.editable_mode:
            return
        if not NOTEBOOKS.is_dir():
            raise SystemExit(f"{NOTEBOOKS} is missing: build the wheel inside the repository.")
        shipped = Path(self.build_lib, "lowsun", "shipped", "notebooks")
        shutil.copytree(NOTEBOOKS, shipped, ignore=LEFT_OUT, dirs_exist_ok=True)


setup(
    cmdclass={"build_py": WithNotebooks},
    long_description=README.read_text(encoding="utf-8") if README.exists() else "",
    long_description_content_type="text/markdown",
)
