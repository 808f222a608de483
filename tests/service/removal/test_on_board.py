"""A plan beside a board that was made for something else: which pockets differ, and what was chosen otherwise."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bikes import EQUIPMENT, LID_AND_TAIL, LID_AND_TAIL_JOBS, bike_text

from boardmaker.service import BoardMade, BoardPocket, check_board, make_plan, plan_work
from boardmaker.wording.board_checks import board_fact, board_lines
from boardmaker.wording.board_places import places_text
from boardmaker.wording.plan.stream import plan_lines
from boardmaker.wording.plan.way import tag_texts
from boardmaker.wording.steps import given_name, must_nots


@pytest.fixture
def work_of(bike_from):
    """Return a function that works out jobs of the small bike, without some of its equipment."""
    bike = bike_from(bike_text(LID_AND_TAIL, LID_AND_TAIL_JOBS, EQUIPMENT))
    return lambda jobs=(), without=(): plan_work(bike, jobs, without=without)


def made(work, boards=1):
    """The board of a work: its panels on boards 1, 2 and so on, in turn."""
    panels = list(dict.fromkeys(one.panel.key for one in work.freed))
    pockets = tuple(
        BoardPocket(one.hole_key, one.number, one.fastener.key, 1 + panels.index(one.panel.key) % boards)
        for one in work.freed
    )
    jobs = tuple(job.key for job in work.jobs)
    return BoardMade("board.json", work.bike.sha256, jobs, work.equipment, boards, pockets)


@pytest.mark.parametrize("jobs", [(), ("oil",)])
@pytest.mark.parametrize("without", [(), ("audio",)])
def test_its_own_board_agrees(work_of, jobs, without):
    """In everything."""
    work = work_of(jobs, without)
    check = check_board(work, made(work))
    assert check.agrees
    assert (check.other, check.missing, check.only_board, check.only_work) == ((), (), (), ())
    assert not check.other_jobs
    assert not check.other_file
    plan = make_plan(work, made(work))
    assert board_lines(plan) == ()
    assert board_fact(plan) == "Pockets and numbers: those of board.json."


def test_other_equipment_gives_other_numbers(work_of):
    """With the speakers the upper screw of the lid is the third, without them the second."""
    board, work = made(work_of()), work_of(without=["audio"])
    check = check_board(work, board)
    assert [(one.hole_key, one.number, there.number) for one, there in check.other] == [("lid/3", 2, 3)]
    assert (check.missing, check.only_board, check.only_work) == ((), ("audio",), ())
    assert board_fact(make_plan(work, board)) == ""
    assert board_lines(make_plan(work, board)) == (
        "✖ The numbers of this plan are not those of board.json: the board was made with Speakers, the plan without.",
        "Other numbers: L 2 B is 3 B there.",
        "To make them agree, a plan for this board: boardmaker plan --board board.json",
        "or a board for this plan: boardmaker board bike.yaml --without audio",
    )


def test_what_has_no_pocket_is_named(work_of):
    """The other way round, and with another job on top."""
    board, work = made(work_of(["oil"], ["audio", "rack"])), work_of(["oil", "lamp"], ["rack"])
    check = check_board(work, board)
    assert [(one.hole_key, there.number) for one, there in check.other] == [("lid/3", 2)]
    assert [one.hole_key for one in check.missing] == ["lid/2", "tail/1"]
    assert (check.only_board, check.only_work, check.other_jobs) == ((), ("audio",), True)
    what, *others = board_lines(make_plan(work, board))
    assert what.endswith(
        "the board was made without Speakers, the plan with; the board was made for Oil, the plan for Oil and Lamp."
    )
    assert others == [
        "Other numbers: L 3 B is 2 B there.",
        "Without a pocket on board.json: L 2 C, T 1 A.",
        "To make them agree, a plan for this board: boardmaker plan --board board.json",
        "or a board for this plan: boardmaker board bike.yaml --job oil --job lamp --without rack",
    ]


def test_a_board_for_more_serves_a_plan_for_less(work_of):
    """Every pocket is there: that is said, and what was chosen otherwise."""
    plan = make_plan(work_of(["lamp"], ["rack"]), made(work_of()))
    assert plan.board.agrees
    assert board_lines(plan) == ()
    assert board_fact(plan) == (
        "Pockets and numbers: those of board.json (the board was made with Luggage rack, the plan without; the board "
        "was made for all jobs, the plan for Lamp)."
    )


def test_another_screw_in_the_same_place_is_another_pocket(work_of, bike_from):
    """The bike file has changed since."""
    changed = bike_from(
        bike_text(LID_AND_TAIL.replace("80], fastener: B", "80], fastener: A"), LID_AND_TAIL_JOBS, EQUIPMENT)
    )
    plan = make_plan(plan_work(changed), made(work_of()))
    assert board_lines(plan)[0].endswith(
        "are not those of board.json: the bike file has changed since the board was made."
    )
    assert board_lines(plan)[1] == "Other numbers: L 3 A is 3 B there."


def test_a_kind_that_the_bike_no_longer_has_is_not_named(work_of):
    """What a board file calls it is a stranger's text."""
    board = made(work_of())
    pockets = tuple(replace(one, fastener="=1+1 <b>") if one.fastener == "B" else one for one in board.pockets)
    assert board_lines(make_plan(work_of(), replace(board, pockets=pockets)))[1] == (
        "Other numbers: L 3 B is 3 (another kind) there."
    )


def test_of_many_pockets_six_are_named(bike_from, work_of):
    """And the others counted."""
    holes = ", ".join(f"{{ at: [0, {10 * place}], fastener: A }}" for place in range(9))
    work = plan_work(bike_from(bike_text(f"  big: {{ name: Big, side: left, holes: [ {holes} ] }}")))
    (told,) = [line for line in board_lines(make_plan(work, made(work_of()))) if line.startswith("Without")]
    assert told == "Without a pocket on board.json: BI 1 A, BI 2 A, BI 3 A, BI 4 A, BI 5 A, BI 6 A, and 3 more."


def test_where_they_differ_stands_first_and_loud(work_of):
    """Before every other caution; where they agree, among the quiet facts."""
    board = made(work_of())
    lines = plan_lines(make_plan(work_of(without=["audio"]), board), given_name).ready
    first = next(line for line in lines if line.kind == "caution")
    assert (first.text[:1], first.weight) == ("✖", "loud")
    (fact,) = [one for one in plan_lines(make_plan(work_of(), board), given_name).ready if "board.json" in one.text]
    assert (fact.kind, fact.weight) == ("fact", "quiet")


def test_which_board_of_several(work_of):
    """Said at each panel, both ways; one board, or none to hold against, says nothing."""
    for boards, told in ((2, ["pockets on board 1", "pockets on board 2"]), (1, [])):
        lines = plan_lines(make_plan(work_of(), made(work_of(), boards)), given_name)
        assert [line.text for line in lines.removal if line.text.startswith("pockets on")] == told
        assert [line.text for line in lines.refit if line.text.startswith("pockets on")] == told[::-1]
    assert not [line for line in plan_lines(make_plan(work_of()), given_name) if line.text.startswith("pockets on")]


def test_a_plan_for_any_board_says_which_boards(work_of):
    """The numbers depend on it; a plan that was held against its board has said it."""
    how = "The numbers are those of a board made for the same jobs and equipment."
    plain, held = (plan_lines(make_plan(work_of(), board), given_name) for board in (None, made(work_of())))
    assert sum(how in line.text for line in plain) == 1
    assert sum(how in line.text for line in held) == 0


def in_squares(board, *squares):
    """The board with these squares, pocket by pocket."""
    return replace(
        board, pockets=tuple(replace(one, square=it) for one, it in zip(board.pockets, squares, strict=True))
    )


def test_each_line_says_board_and_squares(work_of):
    """In the order of its pockets, each square once; then no note says the board again."""
    plan = make_plan(work_of(), in_squares(made(work_of(), boards=2), "A1", "B1", "A2", "F4"))
    lines = plan_lines(plan, given_name)
    told = [[line.cells[3] for line in part if line.kind == "group"] for part in (lines.removal, lines.refit)]
    assert told[0][0] == "pocket 1 A, board 1, A1"
    assert told[0][2] == "pocket 3 B, board 1, A2 · last: hold it"
    assert told[0][3] == "pocket 1 A, board 2, F4"
    assert sorted(words.partition(" · ")[0] for words in told[1]) == sorted(
        words.partition(" · ")[0] for words in told[0]
    )
    assert not [line for line in lines if line.text.startswith("pockets on")]
    assert [tag_texts(step, plan, given_name)[0] for step in plan.removal] == [
        "on board 1, A1, B1, A2",
        "on board 2, F4",
    ]


def test_squares_of_several_pockets_stand_in_their_order(bike_from):
    """Each once: where the hand goes next."""
    holes = ", ".join(f"{{ at: [0, {10 * place}], fastener: A }}" for place in range(5))
    work = plan_work(bike_from(bike_text(f"  big: {{ name: Big, side: left, holes: [ {holes} ] }}")))
    pockets = in_squares(made(work), "B2", "B1", "B1", "C1", "B2").pockets
    where = {pocket.hole_key: pocket for pocket in pockets}
    assert places_text(work.freed, where) == "board 1, B2, B1, C1"


def test_a_pocket_under_another_number_is_found_too(work_of):
    """It is said where the numbers are told apart; the line that has the plan's number does not point to it."""
    plan = make_plan(work_of(without=["audio"]), in_squares(made(work_of()), "A1", "B1", "A2", "F4"))
    assert board_lines(plan)[1] == "Other numbers: L 2 B is 3 B there (board 1, A2)."
    (told,) = [line.text for line in plan_lines(plan, given_name).removal if "pocket 2 B" in line.text]
    assert "board" not in told


def test_a_screw_that_must_not_go_in_is_told_with_its_square(bike_from):
    """In the cautions of the plan."""
    hole = "fastener: C, into: threaded insert, stack: 3, depth: 5, room: 6, behind: fuel tank,"
    wrong = bike_from(bike_text(LID_AND_TAIL.replace("fastener: C,", hole), LID_AND_TAIL_JOBS, EQUIPMENT))
    work = plan_work(wrong)
    board = in_squares(made(work), "A1", "B1", "A2", "F4")
    (told,) = must_nots(make_plan(work, board), given_name)
    assert told.startswith("✖ Lid 2 (board 1, B1): screw C must not go back in")
