"""Looking at and writing files in a folder where anybody may have put anything: links, pipes, endless files.

In: a path. Out: its fingerprint, its bytes up to a limit, or a new file. Apart because record, journal and set need the
same care: nothing is followed, nothing is waited for, nothing that exists is opened for writing.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import secrets
import stat
from pathlib import Path

LARGEST_SET_FILE = 1 << 30  # bytes; a larger file was never ours, and is not read through
LINK, FOLDER, OTHER = "link:", "folder", "other"
_LOOK = (
    os.O_RDONLY
    | getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_NONBLOCK", 0)  # a pipe that nobody writes to is opened at once
    | getattr(os, "O_BINARY", 0)
)
_FRESH = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
_NO_SYNC = (errno.EINVAL, errno.ENOSYS, errno.ENOTSUP)  # file systems that cannot, or need not


def fingerprint(path: Path) -> str | None:
    """Return what is at a place: a file's SHA-256, `link:` and its target, `folder`, `other`, or None for nothing.

    A file that may not be read, or is larger than any of ours, is told by its number and time instead.

    Raises OSError where it cannot be looked at.
    """
    try:
        found = os.lstat(path)
    except (FileNotFoundError, NotADirectoryError):
        return None
    if stat.S_ISLNK(found.st_mode):
        return f"{LINK}{os.readlink(path)}"
    if stat.S_ISDIR(found.st_mode):
        return FOLDER
    if not stat.S_ISREG(found.st_mode):
        return OTHER
    if found.st_size > LARGEST_SET_FILE or not os.access(path, os.R_OK):
        return f"unread:{found.st_ino}:{found.st_mtime_ns}"
    return _digest(path)


def _digest(path: Path) -> str:
    with os.fdopen(os.open(path, _LOOK), "rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def digest(content: bytes) -> str:
    """Return the fingerprint of a file with this content."""
    return hashlib.sha256(content).hexdigest()


def read_small(path: Path, largest: int) -> bytes | None:
    """Return the content of an ordinary file; None where there is none or it has more than `largest` bytes."""
    try:
        handle = os.open(path, _LOOK)
    except OSError as failure:
        if failure.errno in (errno.ENOENT, errno.ENOTDIR, errno.ELOOP, errno.EISDIR, errno.ENXIO):
            return None
        raise
    found = os.fstat(handle)
    if not stat.S_ISREG(found.st_mode) or found.st_size > largest:
        os.close(handle)
        return None
    with os.fdopen(handle, "rb") as file:
        content = file.read(largest + 1)
    return content if len(content) <= largest else None


def open_fresh(path: Path) -> int:
    """Return the handle of a new file. Raises FileExistsError where anything has the name, be it a link to nowhere."""
    return os.open(path, _FRESH, 0o666)


def write_fresh(path: Path, content: bytes) -> None:
    """Write a file that must not exist yet, down to the disk. Raises OSError; the start of a file may then be left."""
    handle = open_fresh(path)
    try:
        rest = memoryview(content)
        while rest:
            rest = rest[os.write(handle, rest) :]
        _sync(handle)
    finally:
        os.close(handle)


def write_beside(path: Path, content: bytes) -> None:
    """Write a file beside its place, then put it there: whoever looks finds the old one or the new one, whole.

    Raises OSError, with nothing changed.
    """
    partial = path.with_name(f".{path.name}.{secrets.token_hex(8)}.partial")
    try:
        write_fresh(partial, content)
        os.replace(partial, path)
    finally:
        with contextlib.suppress(OSError):
            partial.unlink(missing_ok=True)


def sync_folder(folder: Path) -> None:
    """Bring a folder's names down to the disk, where the system can."""
    with contextlib.suppress(OSError):  # not every system opens folders
        handle = os.open(folder, os.O_RDONLY)
        try:
            _sync(handle)
        finally:
            os.close(handle)


def _sync(handle: int) -> None:
    try:
        os.fsync(handle)
    except OSError as failure:
        if failure.errno not in _NO_SYNC:
            raise
