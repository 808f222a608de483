"""The one direction of imports, and one door for each outside library."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

import pytest

import boardmaker

ROOT = Path(boardmaker.__file__).parent

# What each part may import of the others. A later stage may import an earlier one, never the other way round.
BESIDE = {"fixed_order", "plain_text", "problems", "units", "geometry", "fonts", "standards", "display_list"}
WORDS = BESIDE | {"model", "service", "wording", "typeset"}
ALLOWED = {
    "plain_text": set(),
    "problems": {"plain_text"},
    "display_list": set(),
    "fonts": {"plain_text"},
    "standards": set(),
    "fixed_order": set(),
    "geometry": {"fixed_order"},
    "units": {"problems"},
    "guarded": {"problems"},
    "model": {"problems", "geometry", "standards"},
    "inputs": BESIDE | {"model"},
    "tracing": BESIDE | {"model", "inputs", "guarded", "figures", "typeset"},
    "photo": BESIDE | {"tracing", "guarded", "mat"},
    "service": BESIDE | {"model"},
    "wording": BESIDE | {"model", "service"},
    "typeset": BESIDE | {"model", "wording"},
    "figures": WORDS,
    "mat": WORDS | {"guarded", "sheets"},
    "picture": WORDS | {"figures"},
    "pages": {"geometry", "model", "plain_text", "wording"},
    "case": BESIDE | {"model"},
    "packing": {"fixed_order"},
    "drawing": BESIDE | {"model", "figures", "typeset"},
    "sheets": WORDS | {"figures", "case", "drawing"},
    "render": {"display_list", "fonts", "plain_text"},
    "text": WORDS,
    "scan": {"problems", "geometry"},
    "proof": {"problems", "render.printer_scale"},
    "output": {"problems"},
    "boards": WORDS | {"", "inputs", "figures", "case", "packing", "drawing", "sheets"},
    "command_line": {"", "problems", "commands"},
    "__main__": {"command_line"},
}
DOORS = {
    "pydantic": {"inputs", "boards"},  # boards: the board file is read back as it was written
    "ruamel": {"inputs"},
    "svgelements": {"inputs"},
    "defusedxml": {"inputs"},
    "click": {"command_line", "commands"},
    "reportlab": {"render"},
    "svgwrite": {"render"},
    "ezdxf": {"render", "tracing"},
    "pypdfium2": {"render", "proof"},
    "pypdf": {"proof"},
    "PIL": {"render", "scan", "photo"},
    "cv2": {"photo"},  # an extra
    "clarabel": {"packing"},
    "scipy": {"scan", "service", "photo"},  # service: the largest flow of `bag`, which own code would only do worse
    "fontTools": {"fonts"},
}


def statements(body):
    """Every statement, and what stands in it; expressions hold no imports, and most of a tree is expressions."""
    for node in body:
        yield node
        for part in ("body", "orelse", "finalbody", "handlers", "cases"):
            yield from statements(getattr(node, part, ()))


@cache
def imports_of(path):
    return tuple(_imports_of(path))


def _imports_of(path):
    for node in statements(ast.parse(path.read_text(encoding="utf-8")).body):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def modules():
    for path in sorted(ROOT.rglob("*.py")):
        part = path.relative_to(ROOT).parts[0].removesuffix(".py")
        if part != "__init__":
            yield part, path


def may_import(part, name):
    """Whether a part may import a module; commands tie everything together."""
    inner = name.removeprefix("boardmaker.")
    if inner == name or part in ("commands", inner.split(".")[0]):
        return True
    return any(inner == ok or inner.startswith(f"{ok}.") or inner == "__version__" for ok in ALLOWED[part])


def wrong_imports(may):
    """What modules import that they may not, each with its file."""
    return [
        f"{path.relative_to(ROOT)} imports {name}"
        for part, path in modules()
        for name in imports_of(path)
        if not may(part, name)
    ]


@pytest.mark.slow
def test_a_stage_imports_only_what_lies_before_it():
    """The table above is the architecture."""
    assert len([*modules()]) > 100
    assert wrong_imports(may_import) == []


def test_an_outside_library_has_one_door():
    """Only the named part imports it."""
    assert wrong_imports(lambda part, name: part in DOORS.get(name.split(".")[0], {part})) == []


def test_a_wrong_import_would_be_seen():
    """Backwards, and through another door."""
    assert not may_import("packing", "boardmaker.boards.search")
    assert may_import("boards", "boardmaker.packing.problem")
    assert "packing" not in DOORS["click"]
