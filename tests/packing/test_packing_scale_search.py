"""The two public questions: layouts are sound, the same every time, and honest where nothing fits."""

import numpy as np
import pytest

from boardmaker.packing import largest_scale, pack, violations
from boardmaker.packing.compaction import compact
from boardmaker.packing.problem import Enough, Item, Packing, Placement, Pose, Region

pytestmark = pytest.mark.slow

BOARD = (
    (40.0, 0.0),
    (360.0, 0.0),
    (400.0, 60.0),
    (400.0, 240.0),
    (350.0, 300.0),
    (50.0, 300.0),
    (0.0, 250.0),
    (0.0, 50.0),
)
L_SHAPE = ((0.0, 0.0), (400.0, 0.0), (400.0, 150.0), (200.0, 150.0), (200.0, 300.0), (0.0, 300.0))
KEEP_OUT = ((100.0, 100.0), (150.0, 100.0), (140.0, 160.0))


def rectangle(width, height):
    """A rectangle from the origin."""
    return ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))


def turned(ring, quarter):
    """A ring turned by quarters."""
    for _ in range(quarter):
        ring = tuple((-y, x) for x, y in ring)
    return ring


def stars(count, seed):
    """Items at a scale: random nonconvex polygons, away from their own origin, each with a part of true size."""
    random = np.random.default_rng(seed)
    rings = []
    for _ in range(count):
        corners = int(random.integers(5, 24))
        angles = np.arange(corners) * 2 * np.pi / corners
        radii = random.uniform(60, 160) * random.uniform(0.4, 1.1, corners)
        rings.append(np.stack([radii * np.cos(angles), radii * np.sin(angles)], axis=1))
    origins = random.uniform(-300, 300, (count, 2))

    def items_at(scale):
        items = []
        for number, ring in enumerate(rings):
            size = np.maximum(1.0, 12.0 / (scale * np.hypot(*ring.T)))[:, None]  # no corner nearer than 12 mm
            zone = tuple(map(tuple, (scale * ring * size + origins[number]).tolist()))
            poses = tuple(Pose(90 * quarter, turned(zone, quarter)) for quarter in (0, 1, 3))
            items.append(Item(f"star-{number}", poses, (0.3, 0.6) if number % 2 else None))
        return tuple(items)

    return items_at


@pytest.mark.parametrize(
    ("seed", "count", "regions", "clearance"),
    [
        (1, 12, [Region(BOARD, 8.0)], 6.0),
        (2, 9, [Region(L_SHAPE, 3.0, (KEEP_OUT,))], 1.0),
        (3, 12, [Region(BOARD, 0.0), Region(L_SHAPE, 8.0, (KEEP_OUT,)), Region(rectangle(200.0, 300.0), 2.0)], 6.0),
        (4, 7, [Region(rectangle(400.0, 300.0))], 0.0),
    ],
)
def test_random_layouts_are_sound(seed, count, regions, clearance):
    """Whatever the shapes, the layout passes the judge on the zones of its own scale, also rounded to 3 decimals."""
    items_at = stars(count, seed)
    found = largest_scale(items_at, regions, clearance=clearance, lowest=0.05, highest=1.0, effort="quick")
    assert found is not None
    assert [place.key for place in found.placements] == [item.key for item in items_at(1.0)]
    assert all(round(value, 3) == value for place in found.placements for value in place.at)
    assert violations(items_at(found.scale), found.placements, regions, clearance) == ()


def test_same_arguments_same_answer():
    """Two searches with the same seed agree to the last bit."""
    options = {"clearance": 3.0, "lowest": 0.05, "highest": 1.0, "effort": "quick", "seed": 7}
    runs = [largest_scale(stars(5, 5), [Region(BOARD, 4.0)], **options) for _ in range(2)]
    assert runs[0] == runs[1]


def test_zones_are_asked_for_rarely():
    """A search asks for the zones of a dozen scales at most, all within the limits."""
    asked = []
    items_at = stars(8, 6)

    def counted(scale):
        asked.append(scale)
        return items_at(scale)

    largest_scale(counted, [Region(BOARD, 4.0)], clearance=3.0, lowest=0.1, highest=1.0, effort="quick")
    assert 1 < len(asked) <= 15
    assert all(0.1 <= scale <= 1.0 for scale in asked)


def test_highest_scale_is_enough():
    """Where all fits at the highest scale, that scale is the answer, at once."""
    progress = []
    found = largest_scale(
        stars(4, 7), [Region(BOARD)], clearance=2.0, lowest=0.05, highest=0.2, effort="thorough", report=progress.append
    )
    assert found is not None
    assert found.scale == 0.2
    assert progress[-1].done == 1.0
    assert progress[-1].best_scale == 0.2


def test_progress_rises():
    """Progress goes up to 1, and so does the best scale."""
    progress = []
    largest_scale(
        stars(8, 8), [Region(BOARD)], clearance=2.0, lowest=0.05, highest=1.0, effort="quick", report=progress.append
    )
    done = [report.done for report in progress]
    scales = [report.best_scale or 0.0 for report in progress]
    assert len(progress) > 3
    assert done == sorted(done)
    assert done[-1] == 1.0
    assert scales == sorted(scales)


def test_interrupt_passes_through():
    """Ctrl-C while reporting ends the search as itself."""

    def interrupt(_):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        largest_scale(stars(5, 9), [Region(BOARD)], clearance=2.0, lowest=0.05, highest=1.0, report=interrupt)


@pytest.mark.parametrize("stop", [KeyboardInterrupt, Enough])
def test_stopped_search_hands_out_its_best(stop):
    """A search that is stopped half way gives a sound packing that is marked; a whole one is not marked."""

    def halfway(progress):
        if progress.done > 0.5:
            raise stop

    options = {"clearance": 2.0, "lowest": 0.05, "highest": 1.0, "effort": 1e9}
    found = largest_scale(stars(5, 9), [Region(BOARD)], report=halfway, **options)
    whole = largest_scale(stars(5, 9), [Region(BOARD)], **options)
    assert found is not None
    assert whole is not None
    assert (found.cut_short, whole.cut_short) == (True, False)
    assert violations(stars(5, 9)(found.scale), found.placements, [Region(BOARD)], 2.0) == ()


def test_stopped_before_anything_was_found():
    """A search that is stopped at once has nothing to give and says so."""

    def at_once(_):
        raise Enough

    with pytest.raises(Enough):
        largest_scale(stars(5, 9), [Region(BOARD)], clearance=2.0, lowest=0.05, highest=1.0, report=at_once)


def test_amount_of_work_must_be_above_zero():
    """An effort given as work has to be some work."""
    with pytest.raises(ValueError, match="above 0"):
        pack([], [Region(BOARD)], clearance=0.0, effort=0.0)


def test_nothing_fits_by_area():
    """More area than the board has gives None."""
    items = [Item(str(number), (Pose(0, rectangle(100.0, 100.0)),)) for number in range(13)]
    assert pack(items, [Region(rectangle(400.0, 300.0))], clearance=0.0) is None


def test_nothing_fits_by_shape():
    """Three squares of 160 do not go on a board of 400 x 300 that has area for them."""
    items = [Item(str(number), (Pose(0, rectangle(160.0, 160.0)),)) for number in range(3)]
    assert pack(items, [Region(rectangle(400.0, 300.0))], clearance=5.0, effort="quick") is None


def test_item_longer_than_the_board():
    """An item that is too long in all poses gives None."""
    items = [Item("long", (Pose(0, rectangle(401.0, 10.0)),)), Item("short", (Pose(0, rectangle(10.0, 10.0)),))]
    assert pack(items, [Region(rectangle(400.0, 300.0))], clearance=0.0, effort="quick") is None


def test_pack_chooses_the_pose_that_fits():
    """A table that fits in its second pose only is placed in it, beside what is in its way."""
    table = Item("table", (Pose(0, rectangle(250.0, 40.0)), Pose(0, rectangle(120.0, 80.0))))
    block = Item("block", (Pose(0, rectangle(200.0, 189.0)),))
    region = Region(rectangle(340.0, 200.0), 5.0)
    placements = pack([table, block], [region], clearance=3.0, effort="quick")
    assert placements is not None
    assert placements[0].pose == 1
    assert violations([table, block], placements, [region], 3.0) == ()


def test_two_boards_are_used():
    """What does not go on one board goes on two."""
    items = [Item(str(number), (Pose(0, rectangle(160.0, 160.0)),)) for number in range(4)]
    regions = [Region(rectangle(400.0, 200.0), 5.0)] * 2
    placements = pack(items, regions, clearance=5.0)
    assert placements is not None
    assert sorted(place.region for place in placements) == [0, 0, 1, 1]
    assert violations(items, placements, regions, 5.0) == ()


def test_equal_items_go_to_their_wishes():
    """Of two equal items, the one that wishes to be left is left."""
    items = [
        Item("r", (Pose(0, rectangle(90.0, 90.0)),), (0.9, 0.5)),
        Item("l", (Pose(0, rectangle(90.0, 90.0)),), (0.1, 0.5)),
    ]
    placements = pack(items, [Region(rectangle(200.0, 100.0))], clearance=5.0, effort="quick")
    assert placements is not None
    right, left = (place.at[0] for place in placements)
    assert left < right


def test_start_is_kept_where_it_fits():
    """A search that begins from a layout that fits leaves every item in its region, pose and place."""
    items = [
        Item(str(number), (Pose(0, rectangle(60.0, 30.0)), Pose(90, rectangle(30.0, 60.0)))) for number in range(3)
    ]
    begin = tuple(
        Placement(str(number), 0, number % 2, (20.0 + 110 * number, 40.0 + 70 * number)) for number in range(3)
    )
    placements = pack(items, [Region(rectangle(400.0, 300.0))], clearance=5.0, start=begin)
    assert placements is not None
    for placed, begun in zip(placements, begin, strict=True):
        assert (placed.region, placed.pose) == (begun.region, begun.pose)
        assert placed.at == pytest.approx(begun.at, abs=5.0)


def test_start_may_know_other_items():
    """A start that lacks items, or knows some that are gone, is used as far as it goes."""
    begin = Packing(0.3, (Placement("star-1", 0, 2, (200.0, 100.0)), Placement("gone", 4, 9, (0.0, 0.0))))
    found = largest_scale(
        stars(4, 10), [Region(BOARD)], clearance=2.0, lowest=0.05, highest=0.3, effort="quick", start=begin
    )
    assert found is not None
    assert found.scale == 0.3


@pytest.mark.parametrize(("lowest", "highest"), [(0.0, 1.0), (0.5, 0.2)])
def test_limits_must_make_sense(lowest, highest):
    """Limits in the wrong order, or none above zero, are refused."""
    with pytest.raises(ValueError, match="lowest"):
        largest_scale(stars(2, 1), [Region(BOARD)], clearance=0.0, lowest=lowest, highest=highest)


def test_unknown_effort_is_refused():
    """An effort that does not exist is refused with the ones that do."""
    with pytest.raises(ValueError, match="quick, normal, thorough"):
        pack([], [Region(BOARD)], clearance=0.0, effort="heroic")


def test_no_items():
    """Nothing to place is placed at the highest scale."""
    found = largest_scale(lambda _: (), [Region(BOARD)], clearance=0.0, lowest=0.1, highest=1.0)
    assert found == Packing(1.0, ())


def test_rounding_does_not_keep_a_packing_from_being_found(monkeypatch):
    """A compaction that always ends a hair below the size asked for: a hair less is asked for, not nothing found."""

    def a_hair_less(bodies, layout, containers, clearance, **wishes):
        found = compact(bodies, layout, containers, clearance, **wishes)
        return found._replace(factor=min(found.factor, 1 - 1e-10)) if found.factor < 1 + 1e-7 else found

    monkeypatch.setattr("boardmaker.packing.refinement.compact", a_hair_less)
    region = Region(rectangle(400.0, 300.0))
    found = largest_scale(
        lambda scale: [Item("one", (Pose(0, rectangle(40.0 * scale, 30.0 * scale)),))],
        [region],
        clearance=0.0,
        lowest=1.0,
        highest=100.0,
        effort="quick",
    )
    assert found is not None
    assert found.scale == pytest.approx(10.0, rel=1e-4)
