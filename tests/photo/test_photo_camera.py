"""The camera model against OpenCV's own, on closed cases; tags against another library's reading."""

from __future__ import annotations

import cv2
import numpy as np
import photo_samples as samples
import pytest
from other_tag_reader import other_reader

from boardmaker.photo.camera import Camera, SeenPhoto, fit_geometry
from boardmaker.photo.joining import above, flat_surface
from boardmaker.photo.lifting import lifted
from boardmaker.photo.tags import find_tags, softness

LENS = (0.06, -0.03)


def camera_at(stand, focal=3000.0):
    rotation, centre = stand.pose()
    return Camera(rotation, centre, focal, np.array([2020.0, 1500.0]), LENS)


@pytest.fixture
def mat(tmp_path):
    return samples.read_written_mat(tmp_path)


def corners(mat, offsets):
    """The true places of all corners: number -> (4, 3), with the second sheet laid askew."""
    x, y, turn = offsets
    turned = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    for number, tag in mat.tags.items():
        local = tag.corners @ turned.T + (x, y) if tag.sheet == 1 else tag.corners
        yield number, np.column_stack([local + mat.middle(tag.sheet), np.zeros(4)])


def test_projection_is_that_of_opencv():
    camera = camera_at(samples.LEFT)
    places = np.random.default_rng(3).uniform((0, -285, 0), (396, 0, 60), (50, 3))
    k = np.array([[camera.focal, 0, 2020.0], [0, camera.focal, 1500.0], [0, 0, 1]])
    turn = cv2.Rodrigues(camera.rotation)[0]
    theirs, _ = cv2.projectPoints(places, turn, -camera.rotation @ camera.centre, k, np.array([*LENS, 0, 0]))
    ours = camera.project(places)
    assert np.abs(ours - theirs.reshape(-1, 2)).max() < 1e-6
    for place, pixel in zip(places, ours, strict=True):
        assert camera.ground(pixel[None], place[2])[0] == pytest.approx(place[:2], abs=1e-5)


def test_cameras_and_sheets_come_out_of_exact_corners(mat):
    """A focal length that is 2 % off, a lens, a sheet that lies off: all found, to a hundredth of a mm on the mat."""
    askew = (0.8, -0.6, 0.004)
    truth = dict(corners(mat, askew))
    cameras = [camera_at(samples.LEFT), camera_at(samples.RIGHT)]
    photos = [
        SeenPhoto({n: camera.project(at) for n, at in truth.items()}, 2940.0, True, (4032, 3024), 0)
        for camera in cameras
    ]
    fitted = fit_geometry(photos, mat, (180.0, 260.0))
    assert fitted.error_pixels < 0.1
    x, y, turn = fitted.mat.sheets[1]
    assert (x, y) == pytest.approx(mat.middle(1) + askew[:2], abs=0.06)
    assert turn == pytest.approx(askew[2], abs=1e-4)
    for true, found in zip(cameras, fitted.cameras, strict=True):
        assert np.linalg.norm(found.centre - true.centre) < 12.0  # height and focal length go together
        seen = true.project(np.array([[150.0, -100.0, 0.0], [250.0, -200.0, 0.0]]))
        assert found.ground(seen) == pytest.approx(true.ground(seen), abs=0.06)


def test_the_pose_is_that_of_solvepnp(mat):
    """Without a lens and with the focal length known, OpenCV's own pose is the same."""
    rotation, centre = samples.LEFT.pose()
    camera = Camera(rotation, centre, 3000.0, np.array([2015.5, 1511.5]), (0.0, 0.0))
    truth = dict(corners(mat, (0, 0, 0)))
    tags = {n: camera.project(at) for n, at in truth.items()}
    (ours,) = fit_geometry([SeenPhoto(tags, 3000.0, True, (4032, 3024), 0)], mat, (180.0, 260.0)).cameras
    k = np.array([[3000.0, 0, 2015.5], [0, 3000.0, 1511.5], [0, 0, 1]])
    _, turn, shift = cv2.solvePnP(np.vstack([*truth.values()]), np.vstack([*tags.values()]), k, None)
    theirs = -cv2.Rodrigues(turn)[0].T @ shift.ravel()
    assert ours.centre == pytest.approx(theirs, abs=1.0)
    assert ours.centre == pytest.approx(centre, abs=1.0)


def test_sights_meet_where_the_place_is():
    """Two sights of one place in space; and a place on a known surface."""
    place, cameras = np.array([[120.0, -80.0, 33.0]]), [camera_at(samples.LEFT), camera_at(samples.RIGHT)]
    grounds = [camera.ground(camera.project(place))[0] for camera in cameras]
    found = lifted(grounds, [camera.centre for camera in cameras])
    assert (*found.at, found.height) == pytest.approx(tuple(place[0]), abs=1e-6)
    assert found.gap < 1e-6
    surface = flat_surface(np.array([[0.0, 0.0], [200.0, -200.0]]), 33.0)
    assert above(grounds[0][None], cameras[0].centre, surface)[0] == pytest.approx(place[0, :2], abs=1e-6)


@pytest.mark.slow
def test_tags_are_where_another_library_has_them(mat):
    """pupil-apriltags reads the same tags in the same picture; middles within 0.3 pixels."""
    photo = samples.photograph(samples.LEFT, panel=None)
    ours = find_tags(photo, mat)
    grey = cv2.cvtColor(photo, cv2.COLOR_RGB2GRAY)
    theirs = {one.tag_id: one.corners for one in other_reader("tag36h11", 2.0).detect(grey)}
    assert len(ours) == 24
    assert set(theirs) <= set(ours)
    assert len(theirs) > 12
    for number, four in theirs.items():
        assert ours[number].mean(axis=0) == pytest.approx(four.mean(axis=0) - 0.5, abs=0.3)  # it counts from edges
    assert softness(photo, ours) < 0.25
