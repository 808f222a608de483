"""One HTML file out of its parts: texts escaped, data that cannot end its element, hashes of what may run.

In: a template, texts and data of strangers. Out: text of the page. The policy is the Content Security Policy of W3C,
Level 3: nothing is loaded or run but the one script and style whose SHA-256 stands in it, and pictures in the page.
"""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
from collections.abc import Mapping
from typing import Any

from boardmaker.plain_text import shown

_SLOT = re.compile(r"\{\{([a-z]+)\}\}")
_KINDS = {b"\xff\xd8\xff": "image/jpeg", b"\x89PNG\r\n\x1a\n": "image/png"}


def filled(template: str, texts: Mapping[str, str]) -> str:
    """Return the template with `{{name}}` replaced; in one go, so that no text is read as a slot."""
    return _SLOT.sub(lambda slot: texts[slot[1]], template)


def shown_html(text: str) -> str:
    """Return a stranger's text for an element or an attribute: no mark acts, nothing is hidden."""
    return html.escape(shown(text), quote=True)


def data_text(data: Any) -> str:
    """Return data as JSON in which nothing ends or opens an element: ASCII, and no < > & in it."""
    text = json.dumps(data, ensure_ascii=True, allow_nan=False, separators=(",", ":"), sort_keys=True)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def is_picture(content: bytes) -> bool:
    """Say whether something begins as a JPEG or PNG does."""
    return any(content.startswith(mark) for mark in _KINDS)


def data_uri(picture: bytes) -> str:
    """Return a picture as an address that holds it. Raises ValueError for what is neither JPEG nor PNG."""
    if not is_picture(picture):
        raise ValueError("the picture is neither JPEG nor PNG")
    kind = next(kind for mark, kind in _KINDS.items() if picture.startswith(mark))
    return f"data:{kind};base64,{base64.b64encode(picture).decode('ascii')}"


def policy(script: str, style: str) -> str:
    """Return the page's security policy: its one script and style by their hashes, pictures in it, and nothing else."""
    rules = {
        "default-src": "'none'",
        "script-src": f"'sha256-{_hash(script)}'",
        "style-src": f"'sha256-{_hash(style)}'",
        "img-src": "data:",
        "base-uri": "'none'",
        "form-action": "'none'",
    }
    return "; ".join(f"{name} {value}" for name, value in rules.items())


def _hash(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii")
