"""Run notebooks and rewrite their checked outputs, their stills and what they say others say.

A second run changes nothing.

A live cell keeps a small still with its words: what a page shows before the notebook is run.
Translated notebooks, named on the command line, keep the text that `translate_notebooks.py` made.

python tests/support/refresh_notebooks.py [notebooks/01-dispersion.ipynb ...]
"""

import os
import re
import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient

from lowsun.proof.telling import known

CHECKED = "nbval-check-output"
KNOWN = "outside-values"  # a table made from the measures that the cell's metadata name
NOTEBOOKS = Path(__file__).parents[2] / "notebooks"
KEPT_METADATA = {
    "kernelspec": {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}


def refresh(path):
    """Run one notebook; keep output and count on checked cells alone, write it if it changed."""
    before = path.read_text(encoding="utf-8")
    notebook = nbformat.reads(before, as_version=4)
    NotebookClient(notebook, timeout=300, kernel_name="python3", resources=_at(path)).execute()
    for cell in notebook.cells:
        if KNOWN in cell.metadata.get("tags", []) and path.parent == NOTEBOOKS:
            cell.source = known(cell.metadata["lowsun"]["measures"]).rstrip()
    notebook.metadata = nbformat.from_dict(KEPT_METADATA)
    for number, cell in enumerate(_code(notebook), start=1):
        checked = CHECKED in cell.metadata.get("tags", [])
        cell.outputs = _one_text(cell.outputs) if checked else _still(cell.outputs)
        cell.execution_count = number if cell.outputs else None
        cell.metadata.pop("execution", None)
    after = nbformat.writes(notebook, indent=1) + "\n"
    if after != before:
        draft = path.with_suffix(".new")
        draft.write_text(after, encoding="utf-8")
        os.replace(draft, path)
    return after != before


def _at(path):
    return {"metadata": {"path": str(path.parent)}}


def _code(notebook):
    return [cell for cell in notebook.cells if cell.cell_type == "code"]


def _one_text(outputs):
    """What was printed, in one piece: a kernel cuts it where its clock happens to fall."""
    strange = [output for output in outputs if output.get("name") != "stdout"]
    if strange:
        raise ValueError(f"A checked cell prints plain text only; this one gave {strange[0]}")
    text = "".join(output.text for output in outputs)
    return [nbformat.v4.new_output("stream", name="stdout", text=text)]


def _still(outputs):
    """The still of a live stage as a picture that every page can show; nothing for other cells."""
    for output in outputs:
        page = output.get("data", {}).get("text/html", "")
        found = re.search(r'class="lowsun-poster".*src="data:image/jpeg;base64,([^"]+)"', page)
        if found:
            data = {"image/jpeg": found[1] + "\n", "text/plain": output.data["text/plain"]}
            return [nbformat.v4.new_output("display_data", data=data)]
    return []


if __name__ == "__main__":
    named = [Path(name).resolve() for name in sys.argv[1:]] or sorted(NOTEBOOKS.glob("*.ipynb"))
    for notebook_path in named:
        print(notebook_path.name, "rewritten" if refresh(notebook_path) else "unchanged")
