"""JSON Schemas of the bike file and the setup file, for editors: they complete keys and words, and mark mistakes.

Out: the two schemas as text, worked out from the shapes that the reader itself uses (`inputs.schema`), so that a key
added there is in the schema. What the reader accepts, the schema accepts; it is looser where more than one key is
concerned. Draft 7 of JSON Schema, the one that editors know best. The package ships them in `schemas/`.
"""

from boardmaker.inputs.json_schema.shapes import SCHEMAS, schema_text

__all__ = ["SCHEMAS", "schema_text"]
