"""Sets small faults into a module, one at a time, and says which no test sees.

    python tests/support/set_faults.py lib/lowsun/fieldwork/camera.py tests/fieldwork/test_camera.py

Each fault is one change to a copy of lib/: a number 30 % larger, a sign or a comparison turned, a
switch flipped, two arguments exchanged, a text changed. The tests named run against that copy until
one fails. On demand, not among the tests: a fault costs as long as its tests take.
"""

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
TURNED = {
    ast.Add: "-", ast.Sub: "+", ast.Mult: "/", ast.Div: "*",
    ast.Lt: ">=", ast.LtE: ">", ast.Gt: "<=", ast.GtE: "<", ast.Eq: "!=", ast.NotEq: "==",
}  # fmt: skip


@dataclass(frozen=True)
class Fault:
    """One change: what stands from begin to end in the source is replaced."""

    line: int
    begin: int
    end: int
    text: str

    def set_in(self, source):
        """The source with the fault."""
        return source[: self.begin] + self.text + source[self.end :]

    def words(self, source):
        """Where, and what became what."""
        return f"{self.line}: {source[self.begin : self.end]!r} -> {self.text!r}"


def faults(source):
    """Every fault that fits a module's source, in order."""
    starts = [0]
    for line in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(line.encode()))
    raw = source.encode()

    def place(node):
        begin = starts[node.lineno - 1] + node.col_offset
        end = starts[node.end_lineno - 1] + node.end_col_offset
        return len(raw[:begin].decode()), len(raw[:end].decode())

    tree = ast.parse(source)
    skipped = _not_behaviour(tree)
    for node in ast.walk(tree):
        if id(node) not in skipped:
            yield from _faults_of(node, place, source)


def _not_behaviour(tree):
    """Docstrings, and the pieces of errors' messages, which pytest.raises reads in part only."""
    skipped = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            skipped.add(id(node.value))
        if isinstance(node, ast.Raise):
            skipped.update(id(child) for child in ast.walk(node))
    return skipped


def _faults_of(node, place, source):
    if isinstance(node, ast.Constant):
        yield from _changed(node, place(node), source)
    elif isinstance(node, ast.BinOp) and type(node.op) in TURNED:
        yield from _turned(node, node.left, node.right, node.op, place, source)
    elif isinstance(node, ast.Compare) and len(node.ops) == 1 and type(node.ops[0]) in TURNED:
        yield from _turned(node, node.left, node.comparators[0], node.ops[0], place, source)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.Not):
        begin, end = place(node)
        yield Fault(node.lineno, begin, end, source[slice(*place(node.operand))])
    elif isinstance(node, ast.Call) and len(node.args) > 1 and not _symmetric(node):
        (begin, middle), (other, end) = (place(argument) for argument in node.args[:2])
        first, second = source[begin:middle], source[other:end]
        if first != second:
            yield Fault(node.lineno, begin, end, second + source[middle:other] + first)


def _symmetric(call):
    """Do the arguments of max, min, hypot and their like mean the same the other way round?"""
    name = getattr(call.func, "id", getattr(call.func, "attr", ""))
    return name in {"max", "min", "hypot", "maximum", "minimum"}


def _changed(node, where, source):
    value, (begin, end) = node.value, where
    if isinstance(value, bool):
        yield Fault(node.lineno, begin, end, str(not value))
    elif isinstance(value, int | float):
        yield Fault(node.lineno, begin, end, repr(_larger(value)))
    elif isinstance(value, str) and value.strip() and source[begin : begin + 1] in "\"'":
        yield Fault(node.lineno, begin, end, repr(value + " (changed)"))


def _larger(value):
    return value + max(1, round(0.3 * value)) if isinstance(value, int) else value * 1.3 or 0.1


def _turned(node, left, right, operator, place, source):
    begin, end = place(left)[1], place(right)[0]
    between = source[begin:end]
    old = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/", ast.Lt: "<", ast.LtE: "<=",
           ast.Gt: ">", ast.GtE: ">=", ast.Eq: "==", ast.NotEq: "!="}[type(operator)]  # fmt: skip
    if between.count(old) == 1:
        yield Fault(node.lineno, begin, end, between.replace(old, TURNED[type(operator)]))


def seen(module, fault, tests, seconds):
    """Does a test fail with the fault set (or run without end)?"""
    with tempfile.TemporaryDirectory() as folder:
        lib = Path(folder) / "lib"
        shutil.copytree(ROOT / "lib", lib, ignore=shutil.ignore_patterns("__pycache__"))
        changed = lib / module.relative_to(ROOT / "lib")
        changed.write_text(fault.set_in(module.read_text(encoding="utf-8")), encoding="utf-8")
        command = [sys.executable, "-B", "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider"]
        here = os.environ | {"PYTHONPATH": str(lib), "XDG_CACHE_HOME": folder}
        try:
            run = subprocess.run(
                [*command, *tests], cwd=ROOT, env=here, capture_output=True, timeout=seconds,
                check=False,
            )  # fmt: skip
        except subprocess.TimeoutExpired:
            return True
    return run.returncode != 0


def main():
    """Set the faults asked for; the exit status is the number that no test saw."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("module", type=lambda name: Path(name).resolve())
    parser.add_argument("tests", nargs="+")
    parser.add_argument("--count", type=int, default=20, help="faults drawn; default: 20")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--seconds", type=float, default=300, help="a run that lasts longer fails")
    options = parser.parse_args()
    source = options.module.read_text(encoding="utf-8")
    every = sorted(faults(source), key=lambda fault: (fault.begin, fault.text))
    drawn = random.Random(options.seed).sample(every, min(options.count, len(every)))
    missed = 0
    for fault in sorted(drawn, key=lambda fault: fault.begin):
        caught = seen(options.module, fault, options.tests, options.seconds)
        missed += not caught
        print(f"{'caught' if caught else 'MISSED'}  {options.module.name}:{fault.words(source)}")
    print(f"{len(drawn) - missed} of {len(drawn)} caught")
    return missed


if __name__ == "__main__":
    sys.exit(main())
