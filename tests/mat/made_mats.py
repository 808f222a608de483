"""A mat made by the command, once."""

from __future__ import annotations

import pytest

from boardmaker.command_line import run
from boardmaker.commands.common import demo_folder
from boardmaker.mat import read_mat


@pytest.fixture(scope="session")
def made_mat(tmp_path_factory):
    """The folder of a mat, by the further words of the command line."""
    made = {}

    def make(*words):
        if words not in made:
            folder = tmp_path_factory.mktemp("mat")
            assert run(["mat", *words, "--quiet", "--out", str(folder)]) == 0
            made[words] = folder
        return made[words]

    return make


@pytest.fixture(scope="session")
def mat_of(made_mat):
    """The mat read back."""
    return lambda *words: read_mat(made_mat(*words) / "mat.json")


@pytest.fixture(scope="session")
def tourer():
    return str(demo_folder() / "fjellvik-820-tourer.yaml")
