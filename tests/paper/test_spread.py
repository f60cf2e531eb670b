from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.paper.formats import FORMATS
from builder.paper.spread import FOOT_MM, HEAD_MM, LETTERS_MM, MARGIN_MM, greatest_height_mm, spread

PAPERS = st.sampled_from(sorted(FORMATS))
RATIOS = st.floats(0.4, 2.5)


@given(PAPERS, RATIOS)
def test_frames_lie_on_the_page_and_apart(name: str, ratio: float) -> None:
    """Both frames keep clear of margins, head and foot, with room for letters, and do not overlap."""
    lay = spread(FORMATS[name], ratio)
    assert lay is not None and lay.pages == 1
    assert {lay.width_mm, lay.height_mm} == {FORMATS[name].width_mm, FORMATS[name].height_mm}
    for x, y in (lay.full, lay.empty):
        assert x >= MARGIN_MM + LETTERS_MM - 1e-6
        assert x + lay.frame_width_mm <= lay.width_mm - MARGIN_MM + 1e-6
        assert y >= MARGIN_MM + HEAD_MM + LETTERS_MM - 1e-6
        assert y + lay.frame_height_mm <= lay.height_mm - MARGIN_MM - FOOT_MM + 1e-6
    apart_x, apart_y = lay.empty[0] - lay.full[0], lay.empty[1] - lay.full[1]
    assert apart_x >= lay.frame_width_mm + LETTERS_MM or apart_y >= lay.frame_height_mm + LETTERS_MM
    assert lay.frame_width_mm == pytest.approx(ratio * lay.frame_height_mm)


@given(PAPERS, RATIOS, st.floats(40, 400))
def test_a_height_that_is_asked_for_is_kept(name: str, ratio: float, height: float) -> None:
    """The frame is as high as asked, to the letter, or there is none where it is higher than the greatest."""
    lay = spread(FORMATS[name], ratio, height)
    most = greatest_height_mm(FORMATS[name], ratio)
    if height <= most:
        assert lay is not None and lay.frame_height_mm == height
        assert lay.full[0] + lay.frame_width_mm <= lay.width_mm - MARGIN_MM + 1e-6
        assert lay.full[1] + height <= lay.height_mm - MARGIN_MM - FOOT_MM + 1e-6
    if height >= most + 1:
        assert lay is None


@pytest.mark.parametrize(
    ("name", "ratio", "way", "height"),
    [("a4", 0.8, "beside", 155), ("letter", 0.8, "beside", 150), ("a3", 0.8, "beside", 235), ("a4", 1.25, "over", 110)],
)
def test_the_sizes_that_a_tutor_gets(name: str, ratio: float, way: str, height: float) -> None:
    """By hand: on A4 lying, (297 - 20 - 8) / 2 - 5 = 129.5 mm is free across and 210 - 20 - 30 - 5 = 155 mm down."""
    lay = spread(FORMATS[name], ratio)
    assert lay is not None and (lay.way, lay.frame_height_mm) == (way, height)


def test_the_greatest_frame_is_alone_on_its_page() -> None:
    """By hand: upright A4 leaves 210 - 20 - 5 = 185 mm across, so 231 mm down for four to five."""
    assert greatest_height_mm(FORMATS["a4"], 0.8) == 231
    lay = spread(FORMATS["a4"], 0.8, 231)
    assert lay is not None and lay.way == "facing" and lay.full == lay.empty and lay.pages == 2
