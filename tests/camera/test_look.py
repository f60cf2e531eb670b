"""What each sample sees, by either way of looking."""

import subprocess
import sys
import threading
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from scipy.ndimage import binary_dilation

from builder.camera.cast import RayFinder
from builder.camera.drawn import fronts, room_faces
from builder.camera.eyes import place
from builder.camera.finder import Unavailable
from builder.camera.look import open_camera
from builder.camera.projection import project
from builder.errors import CameraError
from builder.model.model import Part
from builder.study.description import Length, Picture, View

PICTURE = Picture(240, 300)
VIEWS = [(0, 0, 3), (35, 20, 3), (-120, -10, 4), (10, 60, 3), (180, 88, 3), (75, -40, 3), (60, 25, 9)]


def looks(model, method, views=VIEWS, picture=PICTURE):
    with open_camera(model, method) as camera:
        assert camera.method == method
        return [camera.look(place(View(1, b, e, Length(d, True)), model, picture)[0]) for b, e, d in views]


def body_of(model, sight):
    return (sight.face >= 0) & (sight.face < model.body_faces)


@pytest.fixture(scope="module")
def by_rays(head_model):
    return looks(head_model, "rays")


@pytest.fixture(scope="module")
def by_raster(graphics, head_model):
    return looks(head_model, "raster")


def test_both_ways_see_the_same_triangles(head_model, by_rays, by_raster):
    # A pack must not depend on whether a computer can draw: 99.5 % of samples, and contours within a pixel.
    for cast, drawn in zip(by_rays, by_raster, strict=True):
        assert (cast.method, drawn.method) == ("rays", "raster")
        assert np.mean(cast.face == drawn.face) >= 0.995
        one, other = body_of(head_model, cast), body_of(head_model, drawn)
        pixel = np.ones((5, 5), bool)  # two samples either way
        assert not (one & ~binary_dilation(other, pixel)).any()
        assert not (other & ~binary_dilation(one, pixel)).any()
        same = cast.face == drawn.face
        assert np.array_equal(cast.u[same], drawn.u[same]) and np.array_equal(cast.v[same], drawn.v[same])


@pytest.mark.parametrize("way", ["by_rays", "by_raster"])
def test_nothing_is_seen_through_cracks(way, request, head_model):
    # Inside the room every sample of an ordinary view meets something, and none inside the contour passes the form.
    for sight in request.getfixturevalue(way):
        if sight.eye.position[2] > head_model.ground_mm:
            assert (sight.face >= 0).all()
        body = body_of(head_model, sight)
        ring = sum(np.roll(body, shift, axis).astype(int) for shift in (-1, 1) for axis in (0, 1))
        assert not (~body & (ring == 4)).any()


@pytest.mark.parametrize("way", ["by_rays", "by_raster"])
def test_the_weighted_point_lies_under_its_sample(way, request, head_model):
    # Either way the point on the triangle must project to the sample's centre, to a hundredth of a pixel but for rims.
    surface = head_model.scene
    for sight in request.getfixturevalue(way):
        rows, columns = np.nonzero(sight.face >= 0)
        p, q, r = (surface.vertices[surface.faces[sight.face[rows, columns], k]] for k in range(3))
        u, v = sight.u[rows, columns, None].astype(float), sight.v[rows, columns, None].astype(float)
        places, depth = project(sight.eye, p + u * (q - p) + v * (r - p))
        off = np.abs(places - np.stack([columns / 2 + 0.25, rows / 2 + 0.25], axis=1)).max(axis=1)
        assert (depth > 0).all()
        assert np.quantile(off, 0.999) < 0.01
        assert off.max() < 0.5


@pytest.mark.parametrize("way", ["by_rays", "by_raster"])
def test_the_nearest_triangle_is_seen(way, request, head_model):
    # A vertex that is seen must project where its own or a neighbour's triangle is, and never nearer than what is seen.
    surface = head_model.scene
    sight = request.getfixturevalue(way)[1]
    corners = surface.vertices[surface.faces[sight.face]]
    depth = project(sight.eye, corners.reshape(-1, 3))[1].reshape(corners.shape[:-1])
    seen = depth[..., 0] + sight.u * (depth[..., 1] - depth[..., 0]) + sight.v * (depth[..., 2] - depth[..., 0])
    front = np.unique(surface.faces[: head_model.body_faces])
    places, own = project(sight.eye, surface.vertices[front])
    column, row = np.floor(places * 2).astype(int).T
    around = np.stack([seen[row + j, column + i] for i in (-1, 0, 1) for j in (-1, 0, 1)])
    assert (own >= around.min(axis=0) - 1.0).all()


@pytest.mark.parametrize("way", ["by_rays", "by_raster"])
def test_from_below_the_ground_the_room_is_gone(way, request, head_model):
    sight = request.getfixturevalue(way)[5]
    assert sight.eye.position[2] < head_model.ground_mm
    parts = np.unique(head_model.scene.parts[sight.face[sight.face >= 0]])
    assert parts.tolist() == [Part.MODEL, Part.PLINTH]
    assert (sight.face == -1).mean() > 0.2


@pytest.mark.parametrize("way", ["by_rays", "by_raster"])
def test_an_eye_outside_the_room_looks_in(way, request, head_model):
    # The wall between the eye and the form is seen from behind, so it is not there; the far wall or the floor is.
    sight = request.getfixturevalue(way)[6]
    assert np.hypot(*sight.eye.position[:2]) > 6 * head_model.size_mm
    kept = room_faces(head_model, sight.eye)
    walls = np.flatnonzero(head_model.scene.parts == Part.BACKDROP)
    assert 0 < np.isin(walls, kept).sum() < len(walls)
    assert fronts(head_model.scene, kept, sight.eye).all()
    assert np.isin(sight.face[head_model.scene.parts[sight.face] >= Part.GROUND], kept).all()
    assert body_of(head_model, sight).any()


def test_a_hole_shows_the_inside_either_way(graphics, make_model):
    # An open form is seen from both sides: with the near half gone, the far half's inside is there.
    ball = trimesh.creation.icosphere(subdivisions=4, radius=100.0).apply_translation((0, 0, 100))
    ball.update_faces(ball.triangles_center[:, 1] > 0)
    model = make_model(ball, closed=False)
    (cast,), (drawn,) = (looks(model, method, [(0, 10, 3)]) for method in ("rays", "raster"))
    inside = ~fronts(model.scene, np.arange(len(model.scene.faces)), cast.eye)
    for sight in (cast, drawn):
        assert inside[sight.face[body_of(model, sight)]].all()
        assert body_of(model, sight)[290:310, 230:250].all()
    assert np.mean(cast.face == drawn.face) >= 0.995


@pytest.mark.parametrize("method", ["rays", "raster"])
def test_looking_twice_gives_the_same_bytes(method, request, head_model):
    if method == "raster":
        request.getfixturevalue("graphics")
    view = [(35, 20, 3), (0, 0, 3), (35, 20, 3)]
    first, _, again = looks(head_model, method, view)
    (other,) = looks(head_model, method, view[:1])
    for sight in (again, other):
        for name in ("face", "u", "v"):
            assert getattr(first, name).tobytes() == getattr(sight, name).tobytes()


@pytest.mark.parametrize("size", [(61, 77), (1, 1), (200, 40)])
def test_pictures_of_any_shape_have_two_by_two_samples_a_pixel(graphics, head_model, size):
    (cast,), (drawn,) = (looks(head_model, method, [(20, 10, 3)], Picture(*size)) for method in ("rays", "raster"))
    for sight in (cast, drawn):
        assert sight.face.shape == sight.u.shape == sight.v.shape == (2 * size[1], 2 * size[0])
        assert (sight.face.dtype, sight.u.dtype, sight.v.dtype) == (np.int32, np.float32, np.float32)
        assert not any(array.flags.writeable for array in (sight.face, sight.u, sight.v))
    assert np.mean(cast.face == drawn.face) >= 0.99


def test_a_pixel_has_one_sample_to_draw_into(graphics, head_model):
    # GL_SAMPLES of the bound framebuffer (OpenGL 4.1 core profile, table 6.33): with four, numbers may be mixed.
    from OpenGL import GL

    from builder.camera.raster import RasterFinder

    finder = RasterFinder(head_model)
    finder._canvas._platform.make_current()
    GL.glBindFramebuffer(GL.GL_FRAMEBUFFER, finder._canvas._renderer._main_fb)
    assert GL.glGetIntegerv(GL.GL_SAMPLES) == 0
    finder._canvas._platform.make_uncurrent()
    finder.close()


def test_a_picture_drawn_in_pieces_is_the_picture(graphics, head_model, by_raster):
    # Large pictures are drawn in pieces, here of 160 by 150 and odd ones; the seams must not show.
    from builder.camera.raster import RasterFinder

    for most_px in (160, 173):
        finder = RasterFinder(head_model, most_px)
        pieces = finder.faces(by_raster[1].eye)
        finder.close()
        assert np.mean(pieces == by_raster[1].face) > 0.9999
        assert np.array_equal(pieces < head_model.body_faces, by_raster[1].face < head_model.body_faces)


def test_closing_one_camera_leaves_another_looking(graphics, head_model):
    # All EGL contexts of a process share a display; one that goes must not take it along.
    eye, _ = place(View(1, 0, 0, Length(3, True)), head_model, Picture(40, 50))
    first, second = open_camera(head_model, "raster"), open_camera(head_model, "raster")
    before = first.look(eye).face
    second.look(eye)
    second.close()
    second.close()
    assert np.array_equal(first.look(eye).face, before)
    del first  # not closed: what it holds goes with it
    with open_camera(head_model, "raster") as third:
        assert np.array_equal(third.look(eye).face, before)


def test_one_camera_serves_several_threads(graphics, head_model):
    eyes = [place(View(1, b, 10, Length(3, True)), head_model, Picture(60, 75))[0] for b in range(0, 360, 45)]
    with open_camera(head_model, "raster") as camera:
        expected = [camera.look(eye).face for eye in eyes]
        found = [None] * len(eyes)

        def one(place_in_list):
            found[place_in_list] = camera.look(eyes[place_in_list]).face

        threads = [threading.Thread(target=one, args=(i,)) for i in range(len(eyes))]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    assert all(np.array_equal(a, b) for a, b in zip(found, expected, strict=True))


def test_a_closed_camera_cannot_look(graphics, head_model):
    eye, _ = place(View(1, 0, 0, Length(3, True)), head_model, Picture(40, 50))
    camera = open_camera(head_model, "raster")
    camera.close()
    with pytest.raises(AssertionError, match="the camera is closed"):
        camera.look(eye)


def test_auto_draws_where_it_can_and_names_its_driver(graphics, head_model):
    with open_camera(head_model) as camera:
        assert camera.method == "raster"
        assert camera.drawn_by.startswith("raster: ")
        assert camera.notices == ()
    with open_camera(head_model, "rays") as camera:
        assert camera.drawn_by.startswith("rays: Embree by embreex ")


class Failing:
    """A finder whose driver fails in the middle of a look."""

    method = "raster"
    drawn_by = "a driver"

    def __init__(self, model):
        self.closed = 0

    def faces(self, eye):
        raise Unavailable("the graphics driver failed")

    def close(self):
        self.closed += 1


def test_a_driver_that_fails_on_the_way_is_replaced_by_rays(monkeypatch, head_model):
    failing = Failing(head_model)
    monkeypatch.setattr("builder.camera.look._raster", lambda model: failing)
    eye, _ = place(View(1, 0, 0, Length(3, True)), head_model, Picture(40, 50))
    with open_camera(head_model) as camera:
        sight = camera.look(eye)
        assert sight.method == camera.method == "rays"
        assert np.array_equal(sight.face, RayFinder(head_model).faces(eye))
        (notice,) = camera.notices
        assert failing.closed == 1
    assert notice.sentence() == (
        "camera: looking by rays, since OpenGL cannot be used here (the graphics driver failed); faster: install a "
        "graphics library that needs no display (Debian and Ubuntu: apt install libegl1 libgl1 libgl1-mesa-dri)."
    )


def test_raster_asked_for_is_never_replaced(monkeypatch, head_model):
    monkeypatch.setattr("builder.camera.look._raster", Failing)
    eye, _ = place(View(1, 0, 0, Length(3, True)), head_model, Picture(40, 50))
    with open_camera(head_model, "raster") as camera, pytest.raises(CameraError) as caught:
        camera.look(eye)
    assert str(caught.value) == (
        "camera: OpenGL cannot be used here (the graphics driver failed); install a graphics library that needs no "
        "display (Debian and Ubuntu: apt install libegl1 libgl1 libgl1-mesa-dri), or look by rays."
    )


WITHOUT = """
import ctypes, ctypes.util, os, sys
gone = sys.argv[1].split(",")
load, find = ctypes.CDLL.__init__, ctypes.util.find_library
def refuse(self, name, *rest, **named):
    if any(part in str(name) for part in gone):
        raise OSError(f"{name}: cannot open shared object file")
    load(self, name, *rest, **named)
ctypes.CDLL.__init__ = refuse
ctypes.util.find_library = lambda name: None if any(part in f"lib{name}." for part in gone) else find(name)
import numpy as np
from builder.camera.look import open_camera
from builder.errors import CameraError
from builder.model.model import Model, ModelFacts, Surface
corners = np.array([[0, 0, 0], [1, 0, 0], [0, 0, 1.0]])
scene = Surface(corners, np.array([[0, 1, 2]]), np.tile([0, -1.0, 0], (3, 1)), np.zeros(1))
model = Model("one", scene, 1, 3, 0.0, ModelFacts(1, 0, 1, 1, 1, 0.5, None, False, 0, 0.0), ())
assert not any(name.partition(".")[0] in ("OpenGL", "pyrender", "pyglet") for name in sys.modules), "loaded too early"
for method in ("auto", "raster", "auto"):
    try:
        camera = open_camera(model, method)
        sys.stdout.write(f"{method}: {camera.method}: {len(camera.notices)}\\n")
    except CameraError as error:
        sys.stdout.write(f"{error}\\n")
"""


@pytest.mark.parametrize(
    ("gone", "environment", "reason"),
    [
        ("libEGL", {}, "the libraries of OpenGL or EGL are not there"),
        ("libGL.,libOpenGL", {}, "the libraries of OpenGL or EGL are not there"),
        ("nothing", {"EGL_DEVICE_ID": "99"}, "EGL knows no such device to draw on"),
        ("nothing", {"PYOPENGL_PLATFORM": "glx"}, "PYOPENGL_PLATFORM is 'glx', and only 'egl' draws without a display"),
    ],
)
def test_without_graphics_auto_casts_rays_and_raster_says_what_to_install(
    gone, environment, reason, request, monkeypatch
):
    # Run apart, since what a process has loaded stays loaded. The model's own stages must not load OpenGL at all.
    if "EGL_DEVICE_ID" in environment:
        request.getfixturevalue("graphics")  # which device to draw on is a question only where there is one
    monkeypatch.delenv("PYOPENGL_PLATFORM", raising=False)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    run = subprocess.run(
        [sys.executable, "-W", "error", "-c", WITHOUT, gone], capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr
    refusal = (
        f"camera: OpenGL cannot be used here ({reason}); install a graphics library that needs no display "
        "(Debian and Ubuntu: apt install libegl1 libgl1 libgl1-mesa-dri), or look by rays."
    )
    assert run.stdout.splitlines() == ["auto: rays: 1", refusal, "auto: rays: 1"]


def test_a_desktops_libraries_are_not_needed(graphics, monkeypatch):
    """A server has no window system: with Xlib and its extensions gone OpenGL still draws."""
    for name in ("PYOPENGL_PLATFORM", "PYGLET_HEADLESS"):
        monkeypatch.delenv(name, raising=False)
    gone = "libX11.,libXrender.,libXext.,libXinerama.,libXi."
    run = subprocess.run(
        [sys.executable, "-W", "error", "-c", WITHOUT, gone], capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr
    assert run.stdout.splitlines() == ["auto: raster: 0", "raster: raster: 0", "auto: raster: 0"]


def test_a_driver_that_garbles_numbers_is_not_used(graphics, head_model, monkeypatch):
    # The trial on opening must notice a driver that mixes neighbouring samples.
    from builder.camera import raster

    def mixed(self, *arguments):
        drawn = whole(self, *arguments)
        drawn[1:-1:7, 5] = drawn[1:-1:7, 6]
        return drawn

    whole = raster._Canvas.draw
    monkeypatch.setattr(raster._Canvas, "draw", mixed)
    with pytest.raises(CameraError, match="does not give the numbers of triangles back as they were drawn"):
        open_camera(head_model, "raster")


def test_the_room_alone_may_change_the_scene_between_looks(make_model, head_model):
    # One camera looks from inside the room, from outside, from below, and inside again.
    views = [(0, 0, 3), (60, 25, 9), (75, -40, 3), (0, 0, 3)]
    first, _, below, last = looks(head_model, "rays", views)
    assert np.array_equal(first.face, last.face)
    assert (below.face == -1).any()
    without = replace(head_model, ground_mm=1e9)
    (flat,) = looks(without, "rays", views[:1])
    assert np.array_equal(body_of(head_model, flat), body_of(head_model, first))
