"""Which forms and patterns a page's content calls: in, its bytes; out, the name at each call.

Apart because it must take no longer than the content is long, whatever stands there. White space and comments may stand
between a name and its operator (ISO 32000-1, 7.2.3). Whether a percent sign begins a comment or stands in a string is
not asked: a name in a comment counts too, so that nothing that is drawn is missed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

# The possessive quantifiers do not step back: every blank is looked at once for the name before it.
_NAME = re.compile(rb"/([^\s\0/\[\]<>(){}%]++)[\s\0]*+(?:(%)|(?<=[\s\0])(?:Do|scn|SCN)\b)")
_NEXT = re.compile(rb"[\s\0]*+(?:(%)|(Do|scn|SCN)\b)")
_LINE_END = re.compile(rb"[\r\n]")


def drawn_names(content: bytes) -> Iterator[bytes]:
    """Yield the name of each form or pattern as often as it is drawn, those with a comment before the operator last."""
    waiting: list[tuple[bytes, int]] = []  # a name, and where the line of the comment behind it ends
    end = -1
    for found in _NAME.finditer(content):
        if found[2] is None:
            yield found[1]
        else:
            end = end if end >= found.end() else _end_of_line(content, found.end())
            waiting.append((found[1], end))
    draws: dict[int, bool] = {}
    for name, line_end in reversed(waiting):  # from the end, so that what follows a line is known already
        if _draws(content, line_end, draws):
            yield name


def _draws(content: bytes, line_end: int, known: dict[int, bool]) -> bool:
    """Whether an operator that draws is the first thing behind a line and all comments after it."""
    passed = []
    answer = False
    while line_end not in known:
        passed.append(line_end)
        found = _NEXT.match(content, line_end)
        if found is None or found[1] is None:
            answer = found is not None
            break
        line_end = _end_of_line(content, found.end())
    answer = known.get(line_end, answer)
    known.update(dict.fromkeys(passed, answer))
    return answer


def _end_of_line(content: bytes, start: int) -> int:
    found = _LINE_END.search(content, start)
    return found.start() if found else len(content)
