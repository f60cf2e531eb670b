"""Mesh files as they come: every kind read alike, every kind of damage told in one sentence."""

from __future__ import annotations

import io
import json
import re
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from builder.errors import ModelError
from builder.model.load import mesh_files, read_mesh
from builder.model.model import Model
from builder.study.description import Study

Built = Callable[..., Model]

TETRAHEDRON = "v 0 0 0\nv 9 0 0\nv 0 9 0\nv 0 0 9\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 1 4 3\n"


def sentence(build: Callable[[], Any]) -> str:
    """The one sentence with which building is refused."""
    with pytest.raises(ModelError) as refused:
        build()
    assert len(refused.value.problems) == 1
    return str(refused.value)


def ply_text(mesh: trimesh.Trimesh) -> bytes:
    rows = [f"{x:.9g} {y:.9g} {z:.9g}" for x, y, z in mesh.vertices]
    rows += [f"3 {a} {b} {c}" for a, b, c in mesh.faces]
    head = (
        f"ply\nformat ascii 1.0\nelement vertex {len(mesh.vertices)}\nproperty float x\nproperty float y\n"
        f"property float z\nelement face {len(mesh.faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    return (head + "\n".join(rows) + "\n").encode()


def obj_text(mesh: trimesh.Trimesh) -> bytes:
    rows = [f"v {x:.9g} {y:.9g} {z:.9g}" for x, y, z in mesh.vertices]
    rows += [f"f {a} {b} {c}" for a, b, c in mesh.faces + 1]
    return ("\n".join(rows) + "\n").encode()


def exported(mesh: trimesh.Trimesh, kind: str) -> bytes:
    data = mesh.export(file_type=kind)
    return data.encode() if isinstance(data, str) else data


@pytest.mark.parametrize("kind", ["ply", "stl", "stl_ascii", "obj", "off", "glb", "3mf"])
def test_every_kind_gives_the_same_model(bust: trimesh.Trimesh, built: Built, kind: str) -> None:
    # volume and area are those of the form itself, however it travelled; float32 and 3MF's digits cost 1e-5 at most
    model = built(exported(bust, kind), f"Egg in Ü {kind}.{kind.removesuffix('_ascii').upper()}")
    assert model.facts.closed
    assert model.facts.faces == model.facts.faces_in_file == len(bust.faces)
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=1e-5)
    assert model.facts.area_mm2 == pytest.approx(bust.area, rel=1e-5)
    assert model.notices == ()


def test_text_and_big_endian_ply_read_like_the_little_endian_one(bust: trimesh.Trimesh, built: Built) -> None:
    # the same rows written three ways, CRLF in the text one, are the same model
    rows = np.zeros(len(bust.faces), [("n", ">u1"), ("corners", ">i4", 3)])
    rows["n"], rows["corners"] = 3, bust.faces
    head = ply_text(bust).split(b"end_header\n")[0].replace(b"ascii", b"binary_big_endian") + b"end_header\n"
    big = head + bust.vertices.astype(">f4").tobytes() + rows.tobytes()
    volumes = [
        built(data, f"{name}.ply").facts.volume_mm3
        for name, data in (("big", big), ("text", ply_text(bust).replace(b"\n", b"\r\n")))
    ]
    assert volumes == pytest.approx([bust.volume] * 2, rel=1e-6)


@pytest.mark.parametrize("text", [True, False])
def test_ply_faces_of_mixed_corner_counts_are_cut_into_triangles(built: Built, text: bool) -> None:
    # a cube with quads, triangles and a pentagon-to-be has the volume of a cube
    corners = [(x, y, z) for z in (0, 60) for y in (0, 60) for x in (0, 60)]
    polygons = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7], [2, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]]
    form = "ascii" if text else "binary_little_endian"
    head = (
        f"ply\nformat {form} 1.0\ncomment made by hand\nelement vertex 8\nproperty double x\nproperty double y\n"
        "property double z\nproperty uchar red\nelement face 7\nproperty list uchar ushort vertex_index\n"
        "property float quality\nend_header\n"
    ).encode()
    if text:
        rows = [f"{x} {y} {z} 7" for x, y, z in corners] + [f"{len(p)} {' '.join(map(str, p))} .5" for p in polygons]
        body = ("\n".join(rows) + "\n").encode()
    else:
        body = b"".join(struct.pack("<dddB", *point, 7) for point in corners)
        body += b"".join(struct.pack(f"<B{len(p)}Hf", len(p), *p, 0.5) for p in polygons)
    model = built(head + body)
    assert model.facts.volume_mm3 == pytest.approx(60.0**3, rel=1e-12)
    assert model.facts.faces_in_file == 12


@pytest.mark.parametrize("text", [True, False])
def test_ply_triangle_strips_are_unpacked(bust: trimesh.Trimesh, built: Built, text: bool) -> None:
    # each face a strip, and some strips of two faces: -1 parts them, every second triangle turns over
    strips: list[int] = []
    done: set[int] = set()
    for (f, g), (a, b) in zip(bust.face_adjacency, bust.face_adjacency_edges, strict=True):
        if f in done or g in done:
            continue
        done |= {int(f), int(g)}
        face = bust.faces[f].tolist()
        first = next(corner for corner in face if corner not in (a, b))
        second, third = face[(face.index(first) + 1) % 3], face[(face.index(first) + 2) % 3]
        last = next(int(corner) for corner in bust.faces[g] if corner not in (a, b))
        strips += [first, second, third, last, -1]
    for f in sorted(set(range(len(bust.faces))) - done):
        strips += [*bust.faces[f].tolist(), -1]
    form = "ascii" if text else "binary_little_endian"
    head = (
        f"ply\nformat {form} 1.0\nelement vertex {len(bust.vertices)}\nproperty float x\nproperty float y\n"
        "property float z\nelement tristrips 1\nproperty list int int vertex_indices\nend_header\n"
    ).encode()
    if text:
        rows = [f"{x:.9g} {y:.9g} {z:.9g}" for x, y, z in bust.vertices]
        body = "\n".join([*rows, f"{len(strips)} {' '.join(map(str, strips))}\n"]).encode()
    else:
        body = bust.vertices.astype("<f4").tobytes() + np.array([len(strips), *strips], "<i4").tobytes()
    model = built(head + body)
    assert model.notices == ()
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=1e-6)


def test_obj_faces_that_count_backwards_mean_the_points_before_them(built: Built) -> None:
    # relative numbers count from the line they stand on, not from the end of the file
    mixed = "v 0 0 0\nv 9 0 0\nv 0 9 0\nf -3 -1 -2\nv 0 0 9\nf -4/1/1 -3/1/1 -1/1/1\nf -3 -2 -1\nf 1 4 3\n"
    model = built(mixed.encode(), "egg.obj")
    assert model.facts.volume_mm3 == pytest.approx(9**3 / 6, rel=1e-12)
    assert model.facts.closed


def test_obj_with_seams_materials_and_groups_is_one_closed_body(built: Built) -> None:
    # texture seams split points and a missing material file is nothing: places alone count
    seams = "mtllib gone.mtl\nvt 0 0\nvt 1 0\nvt 1 1\nvn 0 0 1\n" + re.sub(
        r"f (\d) (\d) (\d)", r"usemtl m\1\2\ng part\3\nf \1/1/1 \2/2/1 \3/3/1", TETRAHEDRON
    )
    model = built(seams.encode(), "egg.obj")
    assert model.facts.closed
    assert model.facts.volume_mm3 == pytest.approx(9**3 / 6, rel=1e-12)


def test_scene_parts_stand_where_the_file_puts_them(bust: trimesh.Trimesh, built: Built) -> None:
    # the same half mesh placed twice, the second time mirrored, makes the whole again
    half = trimesh.intersections.slice_mesh_plane(bust, [1.0, 0.0, 0.0], [0.0, 0.0, 0.0], cap=False)
    mirror = np.diag([-1.0, 1.0, 1.0, 1.0])
    scene = trimesh.Scene()
    scene.add_geometry(half, geom_name="half", node_name="left")
    scene.graph.update(frame_from="world", frame_to="right", matrix=mirror, geometry="half")
    model = built(scene.export(file_type="glb"), "egg.glb")
    assert model.facts.closed
    assert model.facts.volume_mm3 == pytest.approx(2 * half_volume(half), rel=1e-5)


def half_volume(half: trimesh.Trimesh) -> float:
    """Volume between a cut surface and the plane x = 0 that cut it: the lid adds nothing about a point of the plane."""
    a, b, c = (half.vertices[half.faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def test_gltf_reads_its_buffers_from_its_own_folder_only(bust: trimesh.Trimesh, built: Built, folder: Path) -> None:
    # a buffer beside the file is read and counted among the mesh's files; one outside the folder is refused
    files = trimesh.exchange.gltf.export_gltf(trimesh.Scene(bust))
    for name, data in files.items():
        (folder / name).write_bytes(data)
    tree = json.loads(files["model.gltf"])
    model = built(files["model.gltf"], "egg.gltf")
    assert model.facts.volume_mm3 == pytest.approx(bust.volume, rel=1e-5)
    assert set(mesh_files(folder / "egg.gltf")) == {folder / "egg.gltf", *(folder / b["uri"] for b in tree["buffers"])}
    (folder.parent / "away.bin").write_bytes((folder / tree["buffers"][0]["uri"]).read_bytes())
    for name, said in (("../away.bin", "outside its own folder"), ("lost.bin", "which is not there")):
        tree["buffers"][0]["uri"] = name
        moved = json.dumps(tree).encode()
        assert sentence(lambda: built(moved, "egg.gltf")) == (  # noqa: B023
            f"models/egg/egg.gltf: refers to “{name}”, {said}; put all files of the mesh in one folder."
        )
        assert set(mesh_files(folder / "egg.gltf")) == {folder / "egg.gltf", folder / tree["buffers"][1]["uri"]}


def zipped(**entries: str) -> bytes:
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as pack:
        for name, text in entries.items():
            pack.writestr(name, text)
    return archive.getvalue()


def ply(vertices: int, faces: int, body: bytes = b"") -> bytes:
    return (
        f"ply\nformat binary_little_endian 1.0\nelement vertex {vertices}\nproperty float x\nproperty float y\n"
        f"property float z\nelement face {faces}\nproperty list uchar int vertex_indices\nend_header\n"
    ).encode() + body


FLOATS = np.eye(4, 3, dtype="<f4").tobytes()
STRANGE = [
    ("egg.ply", b"", "is empty; export the mesh again."),
    ("egg.obj", b" \n\n", "is empty; export the mesh again."),
    ("egg.stl", b"", "is empty; export the mesh again."),
    ("egg.ply", b"The cast stands by the window.\n", "holds plain text, not a PLY mesh; name the mesh file itself."),
    ("egg.obj", b"The cast stands by the window.\n", "holds plain text, not an OBJ mesh; name the mesh file itself."),
    ("egg.stl", b"solid advice for the studio\n", "holds plain text, not an STL mesh; name the mesh file itself."),
    (
        "egg.obj",
        b"<!DOCTYPE html><html><body>Not found</body></html>",
        "holds a web page, not an OBJ mesh; name the mesh file itself.",
    ),
    (
        "egg.ply",
        b"\x89PNG\r\n\x1a\n" + bytes(100),
        "holds a PNG picture, not a PLY mesh; name the mesh file itself.",
    ),
    (
        "egg.stl",
        b"\xff\xd8\xff\xe0" + bytes(300),
        "holds a JPEG picture, not an STL mesh; name the mesh file itself.",
    ),
    (
        "egg.obj",
        zipped(**{"egg.obj": TETRAHEDRON}),
        "holds a zip archive, not an OBJ mesh; name the mesh file itself.",
    ),
    ("egg.3mf", b"PK\x03\x04" + bytes(50), "holds a damaged zip archive, not a 3MF mesh; name the mesh file itself."),
    (
        "egg.ply",
        bytes(80) + struct.pack("<I", 1) + bytes(50),
        "holds an STL mesh but is named .ply; rename it to egg.stl.",
    ),
    ("egg.stl", ply(4, 0, FLOATS), "holds a PLY mesh but is named .stl; rename it to egg.ply."),
    (
        "egg.fbx",
        b"?",
        "has the suffix .fbx, which is not read; the mesh may be .ply, .obj, .stl, .off, .glb, .gltf, .3mf; "
        "export the mesh as PLY or OBJ.",
    ),
    (
        "egg",
        b"?",
        "has no suffix; the mesh may be .ply, .obj, .stl, .off, .glb, .gltf, .3mf; export the mesh as PLY or OBJ.",
    ),
    ("egg.ply", b"ply\nformat binary_lit", "is cut short in its header; export or copy the file again."),
    (
        "egg.ply",
        ply(2_000_000_000, 0, FLOATS),
        "promises 2,000,000,000 rows of “vertex”, more than its 226 bytes can hold; export or copy the file again.",
    ),
    (
        "egg.ply",
        ply(8, 1, FLOATS + FLOATS[:10]),
        "is cut short: it promises 8 rows of “vertex” and ends after 4; export or copy the file again.",
    ),
    (
        "egg.ply",
        ply(4, 2, FLOATS + struct.pack("<B3i", 3, 0, 1, 2)),
        "is cut short: it promises 2 rows of “face” and ends after 1; export or copy the file again.",
    ),
    (
        "egg.ply",
        ply(4, 1, FLOATS + struct.pack("<B3i", 3, 0, 1, 2) * 4),
        "holds more than its PLY header promises, so its numbers cannot be trusted; export or copy the file again.",
    ),
    (
        "egg.ply",
        ply(4, 1, FLOATS + struct.pack("<B3i", 3, 0, 1, -3)),
        "has a face that refers to point number -3, and only 0 to 3 are there; export or copy the file again.",
    ),
    (
        "egg.ply",
        ply(4, 1, FLOATS + struct.pack("<B3i", 3, 0, 1, 4)),
        "has a face that refers to point number 4, and only 0 to 3 are there; export or copy the file again.",
    ),
    (
        "egg.ply",
        ply(4, 0, FLOATS),
        "holds 4 points and no faces; a drawing needs a surface; make a surface of the points and export that.",
    ),
    (
        "egg.ply",
        ply(4, 1, FLOATS + struct.pack("<B3i", 3, 0, 1, 2)),
        "holds one face, and a solid has at least 4; export the whole surface of the model.",
    ),
    (
        "egg.ply",
        b"ply\nformat ascii 1.0\nelement vertex\nend_header\n",
        "has a PLY header whose line 3 cannot be read: “element vertex”.",
    ),
    ("egg.stl", bytes(40), "does not hold an STL mesh; export the mesh again."),
    (
        "egg.stl",
        bytes(80) + struct.pack("<I", 7) + bytes(50),
        "promises 7 triangles, which is 434 bytes, and is 134 bytes long; export or copy the file again.",
    ),
    ("egg.stl", bytes(84), "holds no triangles; export the mesh again."),
    (
        "egg.stl",
        b"solid egg\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\n",
        "is cut short: 1 triangles begin in it and 0 end; export or copy the file again.",
    ),
    (
        "egg.obj",
        b"v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\n",
        "holds 4 points and no faces; a drawing needs a surface; make a surface of the points and export that.",
    ),
    (
        "egg.obj",
        TETRAHEDRON[:-4].encode(),
        "is cut short: its last line is “f 1”; export or copy the file again.",
    ),
    (
        "egg.obj",
        b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n",
        "has a face that refers to point number 8, and only 0 to 2 are there; export or copy the file again.",
    ),
    (
        "egg.obj",
        b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 0 1 2\n",
        "has a face on line 4 with point 0; OBJ files count their points from 1.",
    ),
    (
        "egg.obj",
        b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf -1 -2 -4\n",
        "has a face on line 4 that counts back before the first point.",
    ),
    (
        "egg.obj",
        b"v 0,5 0,0 0,1\nv 1,0 0,0 0,0\n",
        "has decimal commas in its numbers; only decimal points are read; export it with those.",
    ),
    (
        "egg.off",
        b"OFF\n4 4 0\n0 0 0\n",
        "is cut short: it promises 4 points and 4 faces and has 1 lines; export or copy the file again.",
    ),
    (
        "egg.glb",
        b"glTF" + struct.pack("<II", 2, 4000) + bytes(60),
        "promises 4,000 bytes and is 72 bytes long; export or copy the file again.",
    ),
    (
        "egg.gltf",
        json.dumps({"asset": {"version": "2.0"}, "accessors": [{"count": 2_000_000_000}]}).encode(),
        "promises 2,000,000,000 numbers, more than it can hold; export or copy the file again.",
    ),
    (
        "egg.gltf",
        json.dumps({"asset": {"version": "2.0"}, "extensionsRequired": ["KHR_draco_mesh_compression"]}).encode(),
        "is compressed (KHR_draco_mesh_compression); export it without compression.",
    ),
]


@pytest.mark.parametrize(
    ("name", "data", "said"), STRANGE, ids=lambda value: None if isinstance(value, bytes) else value
)
def test_what_is_no_mesh_is_refused_in_one_sentence(built: Built, name: str, data: bytes, said: str) -> None:
    # never a foreign exception, never a model of half a file
    assert sentence(lambda: built(data, name)) == f"models/egg/{name}: {said}"


def test_a_missing_file_and_a_folder_are_refused(folder: Path, study_of: Callable[..., Study]) -> None:
    # the sentence names the place that study.yml names
    (folder / "heap.ply").mkdir()
    assert sentence(lambda: read_mesh(folder / "gone.ply", "gone.ply")) == (
        "gone.ply: there is no such file; check the mesh path in study.yml."
    )
    assert sentence(lambda: read_mesh(folder / "heap.ply", "heap.ply")).startswith("heap.ply: is a folder; ")


@pytest.mark.parametrize("share", [0.3, 0.6, 0.9, 0.999])
@pytest.mark.parametrize("kind", ["ply", "ply_text", "stl", "stl_ascii", "off", "glb", "3mf"])
def test_a_file_cut_short_is_never_taken_for_a_smaller_one(
    bust: trimesh.Trimesh, built: Built, kind: str, share: float
) -> None:
    # every kind that counts itself is refused wherever it is cut
    data = ply_text(bust) if kind == "ply_text" else exported(bust, kind)
    name = f"egg.{kind.split('_')[0]}"
    assert sentence(lambda: built(data[: int(share * len(data))], name)).startswith(f"models/egg/{name}: ")


@pytest.mark.parametrize("share", [0.3, 0.5, 0.7])
def test_an_obj_cut_among_its_faces_is_noticed_by_points_without_faces(
    bust: trimesh.Trimesh, built: Built, share: float
) -> None:
    # OBJ counts nothing: cut at a line's end, only the points that no face came for give it away
    rows = obj_text(bust).splitlines(keepends=True)
    points = len(bust.vertices)
    cut = b"".join(rows[: points + int(share * len(bust.faces))])
    said = sentence(lambda: built(cut, "egg.obj"))
    assert re.search(r"has [\d,]+ points of 2,562 that belong to no face, as a file that was cut short has", said)


def test_an_archive_that_would_fill_the_machine_is_refused(built: Built, monkeypatch: pytest.MonkeyPatch) -> None:
    # what an archive unpacks to is read from its list before anything is unpacked
    monkeypatch.setattr("builder.model.promises.MOST_BYTES", 10_000)
    bomb = io.BytesIO()
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr("3D/3dmodel.model", "0" * 100_000)
    assert "unpacks to 100,000 bytes" in sentence(lambda: built(bomb.getvalue(), "egg.3mf"))
