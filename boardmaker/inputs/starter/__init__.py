"""The text of a new bike file: a starter with a comment at each key, or what another bike's file can lend to one.

In: the file's name, and the other bike file. Out: a text that reads at once. Apart from `write_back`, which changes one
value of a file that is there.
"""

from boardmaker.inputs.starter.carrying import carried_text
from boardmaker.inputs.starter.template import starter_text

__all__ = ["carried_text", "starter_text"]
