"""The same bytes on every processor: what decides a layout does without BLAS, grouped sums and a C library's series."""

from __future__ import annotations

import ast
import hashlib
import math
import os
import platform
import random
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from bikes import random_bike_text

import boardmaker
from boardmaker.fixed_order import along, direction, lengths, rows_added_up, total

ROOT = Path(boardmaker.__file__).parent
DECIDING = ("packing", "boards", "figures", "case", "typeset", "fixed_order.py", "geometry.py")

PRODUCTS = {"dot", "vdot", "inner", "matmul", "einsum", "tensordot", "linalg", "convolve", "correlate", "lstsq"}
GROUPED = {"sum", "mean", "average", "std", "var", "nansum", "trapezoid"}  # as attributes: numpy groups what it adds up
SERIES = {"sin", "cos", "tan", "asin", "acos", "atan", "atan2", "arcsin", "arccos", "arctan", "arctan2", "exp", "log"}
SERIES |= {"log2", "log10", "pow", "power", "hypot", "dist", "rect", "phase", "polar", "cbrt", "float_power"}
LIBRARIES = {"scipy", "clarabel", "cmath"}

# Where one of these may stand, and why it decides nothing differently on another machine.
ALLOWED = {
    ("fixed_order.py", "cos"): "rounded there",
    ("fixed_order.py", "sin"): "rounded there",
    ("packing/arrange.py", "log"): "rounded at once",
    ("packing/zones.py", "log"): "what is made of it is rounded, or held against a limit that is not met by chance",
    ("packing/zones.py", "**"): "rounded at once",
    ("packing/first_scale.py", "**"): "rounded at once",
    ("packing/refinement.py", "**"): "rounded at once",
    ("packing/linear_program.py", "clarabel"): "Rust of its own with plain loops, without BLAS",
    ("packing/raster.py", "**"): "whole numbers",
    ("boards/search.py", "**"): "rounded at once",
    ("packing/shapes.py", "sum"): "counts",
    ("figures/ring.py", "atan2"): "rounded at once",
    ("figures/silhouette.py", "cos"): "drawn, and decides nothing",
    ("figures/silhouette.py", "sin"): "drawn, and decides nothing",
    ("boards/board_file/soundness.py", "**"): "held against a tolerance, of a file that was read",
}


def modules():
    for part in DECIDING:
        yield from [ROOT / part] if part.endswith(".py") else sorted((ROOT / part).rglob("*.py"))


def machine_dependent(node):
    """Yield what is wrong with a node of a module's syntax tree."""
    if isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ast.MatMult):
        yield "@"
    if isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ast.Pow):
        yield "**"
    if isinstance(node, ast.Attribute) and node.attr in PRODUCTS | GROUPED | SERIES:
        yield node.attr
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "argsort":
        kinds = [one.value for one in node.keywords if one.arg == "kind"]
        if not any(isinstance(kind, ast.Constant) and kind.value == "stable" for kind in kinds):
            yield "argsort"
    if isinstance(node, ast.Import):
        yield from (one.name for one in node.names if one.name.split(".")[0] in LIBRARIES)
    if isinstance(node, ast.ImportFrom):
        library = node.module.split(".")[0]
        names = {one.name for one in node.names}
        yield from [node.module] if library in LIBRARIES else []
        if library in {"numpy", "math"}:
            yield from sorted(names & (PRODUCTS | GROUPED | SERIES))
            yield from sorted({*node.module.split(".")} & PRODUCTS)


def found_in(path):
    name = path.relative_to(ROOT).as_posix()
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return {(name, what) for node in ast.walk(tree) for what in machine_dependent(node)}


@pytest.mark.slow
def test_what_decides_a_layout_is_free_of_what_depends_on_the_processor():
    """Each place that is allowed says why; none is on the list that is not there any more."""
    assert set().union(*map(found_in, modules())) == set(ALLOWED)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("a @ b", "@"),
        ("a @= b", "@"),
        ("np.dot(a, b)", "dot"),
        ("np.linalg.inv(a)", "linalg"),
        ("from numpy.linalg import inv", "linalg"),
        ("from numpy import einsum", "einsum"),
        ("values.sum(axis=1)", "sum"),
        ("x ** 2", "**"),
        ("np.argsort(x)", "argsort"),
        ("x.argsort(kind='quicksort')", "argsort"),
        ("from math import hypot", "hypot"),
        ("from scipy.optimize import minimize", "scipy.optimize"),
        ("import cmath", "cmath"),
    ],
)
def test_it_would_be_seen(text, what):
    assert what in {found for node in ast.walk(ast.parse(text)) for found in machine_dependent(node)}


@pytest.mark.parametrize("size", [1, 2, 7, 8, 9, 127, 128, 129, 1000, 9000])
def test_sums_are_added_up_one_after_the_other(size):
    """As plain Python adds them up; numpy's own `sum` groups them."""
    dice = random.Random(size)
    values = [dice.uniform(-1, 1) * 10 ** dice.uniform(-8, 8) for _ in range(size)]
    expected = values[0]
    for value in values[1:]:
        expected += value
    assert total(np.array(values)) == expected


def test_of_nothing_the_sum_is_0():
    assert total(np.zeros(0)) == 0.0


@pytest.mark.parametrize(("rows", "columns"), [(1, 3), (2, 2), (9, 3), (75, 75), (161, 161), (700, 5)])
def test_rows_are_added_up_one_after_the_other(rows, columns):
    dice = np.random.default_rng(rows)
    matrix, weights = dice.normal(size=(rows, columns)) * 1e3, dice.normal(size=rows)
    expected = [matrix.item(0, column) * weights.item(0) for column in range(columns)]
    for row in range(1, rows):
        expected = [one + matrix.item(row, column) * weights.item(row) for column, one in enumerate(expected)]
    assert rows_added_up(matrix, weights).tolist() == expected


def test_products_and_lengths_are_those_of_plain_arithmetic():
    dice = np.random.default_rng(1)
    points, ways = dice.normal(size=(40, 2)), dice.normal(size=(7, 2))
    assert along(points, ways).tolist() == [[x * a + y * b for a, b in ways.tolist()] for x, y in points.tolist()]
    assert lengths(*points.T).tolist() == [math.sqrt(x * x + y * y) for x, y in points.tolist()]


def test_quarter_turns_are_exact():
    assert [direction(math.radians(turn)) for turn in (0, 90, 180, 270)] == [(1, 0), (0, 1), (-1, 0), (0, -1)]


CHILD = """
import hashlib, math, sys
import numpy as np, pytest
from boardmaker.__main__ import main
from brief import make_brief
make_brief(pytest.MonkeyPatch())
matrix = np.random.default_rng(1).random((60, 60))
probes = np.linalg.inv(matrix), np.exp(matrix), np.array([math.sin(x) for x in 7 * matrix.ravel()])
print(*(hashlib.sha256(probe.tobytes()).hexdigest() for probe in probes))
sys.argv[0] = "boardmaker"
main()
"""


def dispatched():
    """What numpy found in this processor beyond what it needs; a processor may lack it."""
    return " ".join(np.show_config(mode="dicts")["SIMD Extensions"].get("found", []))


def made_with(folder, **settings):
    """The probes' and the board file's hashes of a bike as another processor, library or hash order would have it."""
    folder.mkdir()
    bike = folder.parent / "bike.yaml"
    bike.write_text(random_bike_text(4, 3), encoding="utf-8")
    arguments = [
        "board",
        bike,
        "--case",
        "430 x 330 mm",
        "--boards",
        "2",
        "--effort",
        "quick",
        "--print",
        "whole",
        "--out",
        folder,
    ]
    done = subprocess.run(
        [sys.executable, "-c", CHILD, *map(str, arguments)],
        env={**os.environ, **settings, "PYTHONPATH": os.pathsep.join(map(str, (ROOT.parent, Path(__file__).parent)))},
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert (folder / "board.json").exists(), done.stderr
    return done.stdout.split()[:3], hashlib.sha256((folder / "board.json").read_bytes()).hexdigest()


@pytest.mark.slow
@pytest.mark.skipif(platform.machine() != "x86_64", reason="the switches below are those of x86-64")
def test_a_board_is_the_same_on_other_processors(tmp_path):
    """Two kernels of OpenBLAS; with the other one numpy without the processor's own instructions, and a C library
    without fused multiply-add.

    Each of them changes the last bits of something that is not used; where a switch does nothing (another BLAS, another
    C library), it is not counted.
    """
    runs = (
        made_with(tmp_path / "a", OPENBLAS_CORETYPE="Haswell", PYTHONHASHSEED="1", OPENBLAS_NUM_THREADS="2"),
        made_with(
            tmp_path / "b",
            OPENBLAS_CORETYPE="Prescott",
            PYTHONHASHSEED="2",
            OPENBLAS_NUM_THREADS="1",
            NPY_DISABLE_CPU_FEATURES=dispatched(),
            GLIBC_TUNABLES="glibc.cpu.hwcaps=-AVX2,-FMA,-FMA4,-AVX512F",
        ),
    )
    (probes, board), (other_probes, other_board) = runs
    if probes == other_probes:
        pytest.skip("no switch changes anything on this machine")
    assert board == other_board
