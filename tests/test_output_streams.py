"""Streams that take not everything: a full disk, letters that a terminal does not have, Ctrl-C while starting."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from boardmaker.command_line import main
from boardmaker.commands.common import demo_folder

FULL = Path("/dev/full")
BIKE = str(demo_folder() / "murmelo-140-scooter.yaml")
SCREW = ["screw", BIKE, "--thread", "M6", "--length", "16", "--hole", "floor/1"]

pytestmark = pytest.mark.slow


def run(arguments, **options):
    return subprocess.run([sys.executable, "-m", "boardmaker", *arguments], check=False, **options)


def run_forked(arguments, encoding, said):
    """The exit code of `main` in a fork whose standard output has this encoding and goes into a file."""
    child = os.fork()
    if child == 0:
        try:
            for number in (1, 2):
                os.dup2(os.open(said.with_suffix(f".{number}"), os.O_WRONLY | os.O_CREAT), number)
            sys.stdout = open(1, "w", encoding=encoding)  # noqa: SIM115
            sys.stderr = open(2, "w", encoding=encoding)  # noqa: SIM115
            sys.argv = ["boardmaker", *arguments]
            main()
        except SystemExit as left:
            os._exit(left.code or 0)
        finally:
            os._exit(99)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


@pytest.mark.skipif(not FULL.exists(), reason="no device that is always full")
@pytest.mark.parametrize("arguments", [["check", BIKE], SCREW, ["--help"], ["--version"]], ids=lambda one: one[0])
def test_a_full_output_is_one_line(arguments):
    """Exit 1, no traceback, nothing from Python on its way out."""
    with FULL.open("w") as full:
        done = run(arguments, stdout=full, stderr=subprocess.PIPE, text=True)
    assert done.returncode == 1
    assert done.stderr == "error: cannot write to the standard output: No space left on device\n"


@pytest.mark.skipif(not hasattr(os, "fork"), reason="runs are forked")
@pytest.mark.parametrize(
    ("arguments", "encoding"),
    [(SCREW, "latin-1"), (SCREW, "ascii"), (SCREW, "cp437"), (["testpage"], "ascii"), (["board", "--help"], "latin-1")],
    ids=lambda value: value if isinstance(value, str) else value[0],
)
def test_letters_that_the_terminal_lacks_are_replaced(arguments, encoding, tmp_path):
    """The others stay."""
    out = ["--out", str(tmp_path)] if arguments == ["testpage"] else []
    said = tmp_path / "said"
    assert run_forked([*arguments, *out], encoding, said) == 0
    assert said.with_suffix(".2").read_bytes() == b""
    assert said.with_suffix(".1").read_bytes().decode(encoding).isascii() or encoding != "ascii"
    assert said.with_suffix(".1").stat().st_size


def test_whoever_reads_may_go_before_the_end():
    """As `head` does: exit 1, without a word."""
    read, write = os.pipe()
    os.close(read)
    done = run(["check", BIKE], stdout=write, stderr=subprocess.PIPE)
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
