"""Streams that take not everything: a full disk, letters that a terminal does not have, Ctrl-C while starting."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from boardmaker.commands.common import demo_folder

FULL = Path("/dev/full")
BIKE = str(demo_folder() / "murmelo-140-scooter.yaml")
SCREW = ["screw", BIKE, "--thread", "M6", "--length", "16", "--hole", "floor/1"]

pytestmark = pytest.mark.slow


def run(arguments, **options):
    return subprocess.run([sys.executable, "-m", "boardmaker", *arguments], check=False, **options)


@pytest.mark.skipif(not FULL.exists(), reason="no device that is always full")
@pytest.mark.parametrize("arguments", [["check", BIKE], SCREW, ["--help"], ["--version"]], ids=lambda one: one[0])
def test_a_full_output_is_one_line(arguments):
    """Exit 1, no traceback, nothing from Python on its way out."""
    with FULL.open("w") as full:
        done = run(arguments, stdout=full, stderr=subprocess.PIPE, text=True)
    assert done.returncode == 1
    assert done.stderr == "error: cannot write to the standard output: No space left on device\n"


@pytest.mark.parametrize(
    ("arguments", "encoding"),
    [(SCREW, "latin-1"), (SCREW, "ascii"), (SCREW, "cp437"), (["testpage"], "ascii"), (["board", "--help"], "latin-1")],
    ids=lambda value: value if isinstance(value, str) else value[0],
)
def test_letters_that_the_terminal_lacks_are_replaced(arguments, encoding, tmp_path):
    """The others stay."""
    out = ["--out", str(tmp_path)] if arguments == ["testpage"] else []
    done = run([*arguments, *out], capture_output=True, env={**os.environ, "PYTHONIOENCODING": encoding})
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.decode(encoding).isascii() or encoding != "ascii"


def test_whoever_reads_may_go_before_the_end():
    """As `head` does: exit 1, without a word."""
    read, write = os.pipe()
    os.close(read)
    done = run(SCREW, stdout=write, stderr=subprocess.PIPE)
    os.close(write)
    assert (done.returncode, done.stderr) == (1, b"")


@pytest.mark.parametrize("library", ["click", "pydantic", "numpy", "shapely", "reportlab"])
def test_ctrl_c_while_a_library_is_imported(library, tmp_path):
    """Wherever it comes: one line, exit 130."""
    (tmp_path / "sitecustomize.py").write_text(
        "import os, signal, sys\n"
        "class Interrupting:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        f"        if name == {library!r}:\n"
        "            os.kill(os.getpid(), signal.SIGINT)\n"
        "sys.meta_path.insert(0, Interrupting())\n"
    )
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(tmp_path), os.environ.get("PYTHONPATH", "")])}
    done = run(["board", BIKE, "--out", str(tmp_path / "out")], capture_output=True, text=True, env=environment)
    assert done.returncode == 128 + signal.SIGINT
    assert done.stderr == "interrupted: nothing was written\n"
    assert not (tmp_path / "out").exists()
