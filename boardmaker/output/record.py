"""The record of what the program wrote into a folder, and the names that it may write there.

In: a folder. Out: `{name: {"command": ..., "sha256": ...}}`. The file may come from anybody, with the folder: what is
not in our form is left out, and no name in it leads to a removal that the command's own names do not allow.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path

from boardmaker.output.safe_files import digest, read_small

RECORD = ".boardmaker.json"
LARGEST_RECORD = 1_000_000  # bytes; a record of everything the program can write has 5 000
PLAIN_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,99}")

Record = dict[str, dict[str, str]]

_SHA256 = re.compile(r"[0-9a-f]{64}")
_NAMES = {
    "board": re.compile(r"sheets\.pdf|board-[1-9][0-9]{0,3}\.(?:svg|dxf)|preview\.png|board\.json"),
    "mat": re.compile(r"mat\.(?:pdf|json)"),
    "picture": re.compile(r"(?:picture|panels)\.(?:png|svg)"),
    "plan": re.compile(r"plan\.(?:pdf|md|csv)"),
    "tally": re.compile(r"tally\.csv|shopping\.csv|owner-note\.md"),
    "tally template": re.compile(r"(?:bag|audit)\.csv"),
    "testpage": re.compile(r"testpage\.pdf"),
    "torque": re.compile(r"torque\.pdf"),
    "trace": re.compile(r"[a-z0-9_-]{1,80}-traced\.(?:png|html)"),
    "trace into": re.compile(  # a bike file with its outlines, for a journal's sake
        r"outlines/(?:[a-z0-9_-]{1,80}\.svg|\.boardmaker\.json)|[^/\\.][^/\\]{0,250}"
    ),
}


def may_write(command: str, name: str) -> bool:
    """Tell whether a command has files of this name: no other is ever removed, or touched for a journal's sake."""
    return command in _NAMES and _NAMES[command].fullmatch(name) is not None


def read_record(folder: Path) -> Record:
    """Return the record; empty where there is none or it is broken: then every file belongs to the user."""
    content = read_small(folder / RECORD, LARGEST_RECORD)
    try:
        record = json.loads(content.decode("utf-8")) if content else {}
    except (ValueError, RecursionError):
        return {}
    if not isinstance(record, dict):
        return {}
    return {name: entry for name, entry in record.items() if PLAIN_NAME.fullmatch(name) and _is_entry(entry)}


def _is_entry(entry: object) -> bool:
    if not isinstance(entry, dict) or not all(isinstance(value, str) for value in entry.values()):
        return False
    return "command" in entry and _SHA256.fullmatch(entry.get("sha256", "")) is not None


def updated_record(record: Record, command: str, files: Mapping[str, bytes], adds: bool = False) -> Record:
    """Return the record after a command wrote its files and took its stale ones away, or with `adds` kept them."""
    kept = {name: entry for name, entry in record.items() if adds or entry["command"] != command}
    return kept | {name: {"command": command, "sha256": digest(content)} for name, content in files.items()}


def record_bytes(record: Record) -> bytes:
    """Return the record as it stands in its file."""
    return (json.dumps(record, indent=1, sort_keys=True) + "\n").encode()
