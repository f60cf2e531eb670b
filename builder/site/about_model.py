"""What a study's page says of its model."""

from __future__ import annotations

from PIL import Image

from builder.model.surveyed import Surveyed
from builder.pack import StudyPack
from builder.words.directions import centimetres
from builder.words.words import Words, number


def size_words(study: StudyPack, words: Words) -> str:
    """Height, width and depth in one line."""
    model = study.model
    return words(
        "study.size",
        height=centimetres(model.height_mm),
        width=centimetres(model.width_mm),
        depth=centimetres(model.depth_mm),
    )


def model_rows(study: StudyPack, words: Words) -> tuple[tuple[str, str], ...]:
    """Whose it is, how it was read, and what was measured of it, each with its label."""
    model = study.model
    closed = words("study.closed_yes") if model.closed else words("study.closed_no", holes=model.holes_left)
    rows = [
        (words("study.credit"), study.study.credit),
        (words("study.faces"), words("study.faces_value", faces=model.faces, faces_in_file=model.faces_in_file)),
        (words("study.deviation"), f"{number(model.deviation_mm, 2)} mm"),
        (words("study.closed"), closed),
        (words("study.surface"), f"{number(model.area_mm2 / 100.0, 0)} cm²"),
    ]
    if model.volume_mm3 is not None:
        rows.append((words("study.volume"), f"{number(model.volume_mm3 / 1000.0, 0)} cm³"))
    # the same in every view and under every lamp
    mirrored = study.views[0].shown[study.views[0].opens_with].facts.get("mirror_residual_mm")
    if isinstance(mirrored, int | float):
        rows.append((words("study.mirrored"), f"{number(mirrored, 1)} mm"))
    if study.survey is not None:
        rows += _surveyed(study, study.survey, words)
    return tuple(rows)


def sides_px(study: StudyPack) -> tuple[int, int] | None:
    """Width and height of the small picture of the model's sides."""
    if study.sides is None:
        return None
    with Image.open(study.sides.small) as picture:
        return picture.size


def _surveyed(study: StudyPack, survey: Surveyed, words: Words) -> list[tuple[str, str]]:
    model = study.model
    lengths = (model.width_mm, model.depth_mm, model.height_mm)
    return [
        (words("study.extents"), f"{' × '.join(number(length, 0) for length in lengths)} mm"),
        (words("study.bodies"), str(survey.bodies)),
        (words("study.gaps"), "; ".join(survey.gaps) or words("study.gaps_none")),
        (words("study.thin"), "; ".join((survey.thin, *survey.thin_places))),
        (words("study.symmetry"), survey.symmetry),
    ]
