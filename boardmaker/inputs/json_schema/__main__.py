"""`python -m boardmaker.inputs.json_schema`: writes the shipped schemas anew, after a key was added to the shapes."""

from importlib.resources import files
from pathlib import Path

from boardmaker.inputs.json_schema import SCHEMAS, schema_text

for name in SCHEMAS:
    (Path(str(files("boardmaker"))) / "schemas" / name).write_text(schema_text(name), encoding="utf-8", newline="\n")
