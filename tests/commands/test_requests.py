"""From what click reads to the request: every option has a parameter of its type, every choice one of its name."""

from __future__ import annotations

import ast
import inspect
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Literal, get_type_hints

import click
import pytest

import boardmaker.commands
from boardmaker.command_line import boardmaker as program
from boardmaker.command_line import run
from boardmaker.commands import requests

COMMANDS = Path(boardmaker.commands.__file__).parent


def functions(command):
    """The decorators of a command from the outside in, its own function last."""
    function = command.callback
    while function:
        yield function
        function = getattr(function, "__wrapped__", None)


def parameters(function):
    """Names and types of what a function takes itself, without what it hands on unseen."""
    signature = inspect.signature(function, follow_wrapped=False)
    hints = get_type_hints(function, function.__globals__)
    return [(name, hints[name]) for name, one in signature.parameters.items() if one.kind is not one.VAR_KEYWORD]


def type_of(option):
    """What click hands over for an option or argument."""
    told = option.to_info_dict()
    if isinstance(option.type, click.Choice):
        one = Literal[tuple(option.type.choices)]
    elif isinstance(option.type, click.Path):
        one = option.type.type
    else:
        one = {"String": str, "Bool": bool, "Int": int, "IntRange": int, "Float": float, "FloatRange": float}[
            told["type"]["param_type"].removesuffix("ParamType")
        ]
    if option.multiple or option.nargs == -1:
        return tuple[one, ...]
    many = one if option.nargs == 1 else tuple[(one,) * option.nargs]
    given = option.required or isinstance(told["default"], str | int | float | Path)
    return many if given else many | None


@pytest.mark.parametrize("name", sorted(program.commands))
def test_every_option_arrives_as_click_reads_it(name):
    """Name and type of a parameter are those of its option; the rest are choices that the decorators gather."""
    command = program.commands[name]
    taken = [one for function in functions(command) for one in parameters(function) if not is_dataclass(one[1])]
    assert sorted(taken, key=str) == sorted(((one.name, type_of(one)) for one in command.params), key=str)


@pytest.mark.parametrize("name", sorted(program.commands))
def test_every_request_gets_what_was_read(name, monkeypatch):
    """A command line with a word of its own for every option ends in a request that holds each under its name."""
    command = program.commands[name]
    words, wanted = [name], {}
    for number, one in enumerate(command.params, start=1):
        typed, wanted[one.name] = SAID.get(one.name) or said_for(one, number)
        words += typed if isinstance(one, click.Argument) else [max(one.opts, key=len), *typed]
    got = []
    for module, function in BEHIND[name]:
        monkeypatch.setattr(f"boardmaker.commands.{module}.{function}", got.append)
    assert run(words) == 0
    (request,) = got
    asked = leaves(request)
    assert {one: asked.pop(one) for one in wanted} == wanted
    assert {*asked.values()} <= {None}


BEHIND = {
    "board": [("board", "make_board")],
    "calibrate": [("calibrate", "calibrate_printer")],
    "check": [("check", "check_bike"), ("sharing", "say_unsaid"), ("watch", "watch_bike")],
    "mat": [("mat", "make_mat")],
    "picture": [("picture", "draw_pictures")],
    "new": [("new", "make_bike_file")],
    "plan": [("plan", "make_plan_files")],
    "repack": [("repack", "repack")],
    "schema": [("schema", "write_editor_schemas")],
    "screw": [("screw", "find_screw")],
    "tally": [("tally", "make_tally")],
    "testpage": [("pages", "make_testpage")],
    "torque": [("pages", "make_torque_strip")],
    "trace": [("trace", "trace_panels")],
    "verify": [("verify", "verify_file")],
}
SAID = {
    "effort": (["thorough"], "thorough"),
    "print_as": (["whole"], "whole"),
    "arrange": (["1.5"], 1.5),
    "ink": (["black"], "black"),
    "tint": (["magenta"], "magenta"),
    "side": (["centre"], "centre"),
    "view": (["front"], "front"),
    "sources": (["one.jpg", "two.jpg"], (Path("one.jpg"), Path("two.jpg"))),
    "unit": (["pt"], "pt"),
}


def said_for(option, number):
    """What to type for an option, and what arrives: another value for each."""
    if isinstance(option, click.Option) and option.is_flag:
        return [], True
    if option.multiple or option.nargs == -1:
        return [f"word-{number}"], (f"word-{number}",)
    if option.nargs == 2:
        return [f"{number}.1", f"{number}.2"], (f"{number}.1", f"{number}.2")
    kind = type_of(option)
    value = next(one for one in (Path, int, float, str) if kind in (one, one | None))(str(number))
    return [str(number)], value


def leaves(request):
    """All that was asked for by name, of the request and its choices."""
    found = {}
    for field in fields(request):
        value = getattr(request, field.name)
        inner = leaves(value) if is_dataclass(value) else {field.name: value}
        assert not {*inner} & {*found}
        found |= inner
    return found


def test_requests_cannot_be_changed():
    """What was asked stays as it was asked."""
    kinds = [kind for _, kind in inspect.getmembers(requests, is_dataclass)]
    assert len(kinds) >= len(program.commands)
    assert all(kind.__dataclass_params__.frozen for kind in kinds)


@pytest.mark.parametrize("path", sorted(COMMANDS.glob("*.py")), ids=lambda path: path.stem)
def test_no_command_imports_another_one(path):
    """What two of them need has a module of its own."""
    alone = {module for behind in BEHIND.values() for module, _ in behind}
    tree = ast.parse(path.read_text(encoding="utf-8"))
    named = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not named & {f"boardmaker.commands.{name}" for name in alone}


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        (["trace", "bike.yaml", "lid", "lid.svg", "--side", "center"], "centre"),
        (["board", "bike.yaml", "--effort", "quik"], "quick"),
        (["trace", "bike.yaml", "lid", "lid.svg", "--side", "7"], None),
    ],
)
def test_a_mistyped_choice_is_met_by_the_nearest(capsys, words, meant):
    """Whatever the option."""
    assert run(words) == 2
    said = capsys.readouterr().err
    assert "is not one of" in said
    assert (f'Did you mean "{meant}"?' in said) is (meant is not None)
    assert "Did you mean" not in said or meant
