"""What a child may do instead of its work; apart from the tests because the child imports it by this name."""

import os
import sys
import time
from pathlib import Path

from boardmaker.problems import ProblemsFound, error


def double(number, also=0):
    print("a reader's chatter")
    os.write(2, b"a reader's complaint\n")
    return 2 * number + also


def refuse(path):
    raise ProblemsFound([error(f"{path} is empty", hint="fill it"), error("and old")])


def stumble():
    raise KeyError("a fault of ours")


def sleep(path=None):
    if path:
        Path(path).write_text(str(os.getpid()), encoding="ascii")
    time.sleep(60)


def spin():
    while True:
        pass


def eat():
    return [bytearray(10_000_000) for _ in range(1000)]


def abort():
    os.abort()


def leave():
    os._exit(0)


def imports_from():
    return sys.path
