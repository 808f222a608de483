"""What many tests need: bikes written as text, the demo bikes, boards made once and judged often."""

from __future__ import annotations

import gc
import json
import os
import pickle
import signal
import subprocess
import sys
from functools import cache, cached_property, partial
from pathlib import Path
from types import SimpleNamespace

# Every worker has a processor of its own to work with; threads of the linear algebra would only wait for each other.
# Set before numpy is imported; what is made does not depend on it (`test_any_processor`).
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import pytest
from brief import make_brief
from forked_guard import fork_and_answer
from hypothesis import HealthCheck, settings

from boardmaker import guarded
from boardmaker.boards import BoardOptions, build_boards
from boardmaker.boards.board_file.writing import write_board_file
from boardmaker.commands.board_files import board_files
from boardmaker.commands.common import demo_folder
from boardmaker.inputs import read_bike
from boardmaker.model import Setup
from boardmaker.problems import ProblemsFound
from boardmaker.service import plan_work
from boardmaker.tracing import read_tracing

# Whoever is started in the background by a shell has Ctrl-C ignored, and so would all that the tests start.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)

# A forked child ends without handing on what a tracer saw in it, so that it need not be traced.
if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=lambda: sys.settrace(None))

# The same examples in every run, so that it can be repeated; `--hypothesis-profile=long` draws others, and many more.
settings.register_profile(
    "suite", derandomize=True, database=None, deadline=None, suppress_health_check=list(HealthCheck)
)
settings.register_profile("long", deadline=None, max_examples=5000, suppress_health_check=list(HealthCheck))
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "suite"))

DEMOS = ("fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter")


def pytest_collection_modifyitems(items):
    """Whatever asks for whole boards is slow."""
    for item in items:
        if {"make", "made_demo"} & {*item.fixturenames}:
            item.add_marker(pytest.mark.slow)


def pytest_collection_finish():
    """Look for garbage more rarely, and not among thousands of tests: a twelfth of a board's time went into it."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(10_000, 10, 10)


def seconds_of_a_processor():
    """Those of this process and of the ended ones that it started."""
    return sum(os.times()[:4])


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item):
    """Note a test that takes a second or more of a processor and is not marked so; a tracer makes all slow."""
    begun = seconds_of_a_processor()
    result = yield
    taken = seconds_of_a_processor() - begun
    if taken >= 1.0 and item.get_closest_marker("slow") is None and sys.gettrace() is None:
        item.user_properties.append(("unmarked", taken))
    return result


def pytest_terminal_summary(terminalreporter):
    """Say which they are. It is no failure: how fast this processor is has nothing to do with the program."""
    reports = [one for one in terminalreporter.getreports("passed") if one.when == "call"]
    for report in reports:
        for name, taken in report.user_properties:
            if name == "unmarked":
                terminalreporter.write_line(f"not marked slow, but takes {taken:.1f} s: {report.nodeid}", yellow=True)


def no_report(_count, _progress):
    """A search that nobody watches."""


@pytest.fixture(scope="session", autouse=True)
def brief_search():
    """Every search is a short one (`brief`)."""
    with pytest.MonkeyPatch.context() as patch:
        make_brief(patch)
        yield


@pytest.fixture
def forked_guard(monkeypatch):
    """What is guarded runs in a fork of this process, not in a new Python, where that can be."""
    if hasattr(os, "fork"):
        monkeypatch.setattr(guarded, "subprocess", SimpleNamespace(**vars(subprocess)))
        monkeypatch.setattr(guarded.subprocess, "run", partial(fork_and_answer, subprocess.run))


@pytest.fixture
def bike_from(tmp_path):
    """Return a function that reads a bike from the text of a bike file."""

    def read(text):
        path = tmp_path / "bike.yaml"
        path.write_text(text, encoding="utf-8")
        return read_bike(path)[0]

    return read


@pytest.fixture(scope="session")
def demo_bike():
    """Return a function that reads a bundled bike by its file's stem."""
    return cache(lambda stem: read_bike(demo_folder() / f"{stem}.yaml")[0])


class Made:
    """A board set with its work; its files are drawn when a test looks at them."""

    def __init__(self, work, setup=None, **options):
        options = {"effort": "quick", "arrange": 0.0, **options}  # arranging takes as long again; who wants it, says so
        self.work = work
        self.built = build_boards(work, setup or Setup(), BoardOptions(**options), no_report)
        self.board_file = json.loads(write_board_file(self.built))

    @cached_property
    def files(self) -> dict[str, bytes]:
        """All that `board` writes, by name."""
        return board_files(self.built)

    def write(self, folder: Path) -> Path:
        """Write all files into a folder."""
        for name, content in self.files.items():
            (folder / name).write_bytes(content)
        return folder


@pytest.fixture
def make():
    """Return a function that makes boards for a work."""
    return Made


@pytest.fixture(scope="session")
def once(tmp_path_factory):
    """Return a function that returns what another one makes, made once for all workers of a run."""
    own = tmp_path_factory.getbasetemp()
    shared = own.parent if "PYTEST_XDIST_WORKER" in os.environ else own
    known = {}

    def made_or_read(name, make):
        path = shared / f"once-{name}.pickle"
        if name not in known and not path.exists():
            (own / path.name).write_bytes(pickle.dumps(make()))
            (own / path.name).replace(path)  # whole or not there; two workers at the same time make the same
        if name not in known:
            known[name] = pickle.loads(path.read_bytes())
        return known[name]

    return made_or_read


@pytest.fixture(scope="session")
def made_demo(demo_bike, once):
    """Return a function that makes the boards of a bundled bike, once."""

    def made(stem, **options):
        options = {"boards": 1, **options}  # as many as they are: whether more would be larger is asked elsewhere
        name = "-".join([stem, *(f"{key}-{value}" for key, value in sorted(options.items()))])
        return once(name, lambda: with_files(Made(plan_work(demo_bike(stem)), **options)))

    return made


def with_files(made: Made) -> Made:
    """The same, its files drawn: they are kept with it, for all workers."""
    assert made.files
    return made


@pytest.fixture(scope="session", params=DEMOS)
def demo(request, made_demo):
    """The boards of each demo bike."""
    return made_demo(request.param)


@pytest.fixture(scope="session")
def scooter(made_demo):
    """The boards of the smallest demo bike."""
    return made_demo("murmelo-140-scooter")


TRACED_PANELS = ("knee-left", "knee-right", "seat", "tail_cover")
TRACED_FASTENERS = ("A", "B", "C", "D1", "long-1")


@pytest.fixture
def trace(tmp_path):
    """Return a function that reads a text, or bytes, as the file of a name."""

    def read(content, name="d.svg", known=None, unit=None, panels=TRACED_PANELS, fasteners=TRACED_FASTENERS):
        path = tmp_path / name
        if isinstance(content, str):
            path.write_text(content, encoding="utf-8", newline="")
        elif content is not None:
            path.write_bytes(content)
        return read_tracing(path, panels, fasteners, known, unit)

    return read


@pytest.fixture
def refused(trace):
    """Return a function that reads as `trace` and returns the messages, each with its hint, of a refusal."""

    def read(*arguments, **options):
        with pytest.raises(ProblemsFound) as found:
            trace(*arguments, **options)
        for problem in found.value.problems:
            assert problem.hint, problem
            assert problem.where is not None or "d." in problem.message, problem
        return [f"{one.where.line if one.where else 0}: {one.message} | {one.hint}" for one in found.value.problems]

    return read
