"""`boardmaker --help` answers at once: nothing heavy is imported for it."""

from __future__ import annotations

import subprocess
import sys

HEAVY = (
    "shapely",
    "numpy",
    "scipy",
    "reportlab",
    "ezdxf",
    "pydantic",
    "ruamel.yaml",
    "fontTools",
    "PIL",
    "svgelements",
    "pypdfium2",
)


def test_help_imports_no_heavy_library():
    """The stages are imported when a command runs, not for its help."""
    script = (
        "import sys; from boardmaker.command_line import boardmaker, run;"
        "code = run(['--help']) or any([run([name, '--help']) for name in boardmaker.commands]);"
        f"print([name for name in {HEAVY!r} if name in sys.modules]); sys.exit(code)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
