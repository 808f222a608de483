"""`schema`: the JSON Schemas of bike file and setup file, for an editor."""

from __future__ import annotations

from boardmaker.commands.common import say
from boardmaker.commands.editor_files import BIKE_SCHEMA, SETUP_SCHEMA, write_schemas
from boardmaker.commands.requests import SchemaRequest


def write_editor_schemas(request: SchemaRequest) -> None:
    """Write both schemas into a folder and say the line that leads an editor to them."""
    write_schemas(request.folder, (BIKE_SCHEMA, SETUP_SCHEMA), request.force)
    say(f"wrote to {request.folder}: {BIKE_SCHEMA}, {SETUP_SCHEMA}", request.quiet)
    say("the first line of a bike file or setup file in this folder then is:", request.quiet)
    for name in (BIKE_SCHEMA, SETUP_SCHEMA):
        say(f"# yaml-language-server: $schema={name}", request.quiet)
