import pytest

from builder.errors import StudyError
from builder.model.source import KINDS
from builder.study.schema import MESH_ENDINGS


def test_the_endings_are_those_that_the_model_stage_reads():
    # the description cannot import a later stage, so the two lists are held together here
    assert set(MESH_ENDINGS) == set(KINDS)


def with_mesh(name: str) -> str:
    return f"title: Mask\nmesh: {name}\nunit: mm\nup: +z\nfront: -y\n"


def test_a_mesh_elsewhere_in_the_project_is_fine(read, project):
    (project / "scans").mkdir()
    (project / "scans" / "big.PLY").write_text("ply\n")
    assert read(with_mesh("../../scans/big.PLY")).mesh.path.samefile(project / "scans" / "big.PLY")


def test_a_link_that_leads_out_of_the_project_is_refused(read, project, tmp_path):
    # what a pack is built from must be in the project, whatever it is called there
    (project / "models" / "mask" / "linked.ply").symlink_to(tmp_path / "mask.ply")
    with pytest.raises(StudyError) as caught:
        read(with_mesh("linked.ply"))
    assert str(caught.value) == (
        "models/mask/study.yml:2: `mesh` is `linked.ply`, which lies outside the project; "
        "it takes a file in the study's folder; copy the mesh there and give its name."
    )


def test_a_link_within_the_project_is_followed(read, project):
    (project / "scan.ply").write_text("ply\n")
    (project / "models" / "mask" / "linked.ply").symlink_to(project / "scan.ply")
    assert read(with_mesh("linked.ply")).mesh.path.name == "linked.ply"


@pytest.mark.parametrize(
    ("make", "name", "said"),
    [
        (lambda path: path.symlink_to(path), "loop.ply", "which cannot be reached"),
        (lambda path: path.mkdir(), "folder.ply", "which is not a file"),
        (lambda path: path.write_bytes(b""), "nothing.ply", "which is empty"),
        (lambda path: path.symlink_to("gone.ply"), "dangling.ply", "and there is no such file"),
        (lambda path: None, "n" * 235 + ".ply", "there is no such file"),
    ],
)
def test_what_is_no_readable_mesh_is_refused_in_one_sentence(make, name, said, read, project):
    make(project / "models" / "mask" / name)
    with pytest.raises(StudyError, match=said) as caught:
        read(with_mesh(name))
    assert len(caught.value.problems) == 1


@pytest.mark.parametrize("name", ["C:/scans/mask.ply", "/etc/passwd", "~/mask.ply", "'..'", "."])
def test_addresses_of_one_computer_and_folders_are_refused(name, read):
    with pytest.raises(StudyError, match=r":2: `mesh` is"):
        read(with_mesh(name))
