"""Links a teacher writes as view:... lead where they say; what cannot be found is named with its line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.errors import SiteError
from builder.pack import Pack
from builder.site.links import code_ranges, rewrite_links

PAGE = "lessons/one.md"


def rewritten(text: str, pack: Pack, page: str = PAGE) -> str:
    return rewrite_links(text, pack, page, f"content/{page}")


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("[a](view:egg/2)", "[a](../studies/egg/view-002.md)"),
        ("[a](view:egg/002)", "[a](../studies/egg/view-002.md)"),
        ("[a](view:egg/2/side-lamp)", "[a](../studies/egg/view-002.md#side-lamp/tone)"),
        ("[a](view:egg/2/side-lamp/values-3)", "[a](../studies/egg/view-002.md#side-lamp/values-3)"),
        ('[a]( view:egg/2 "Title")', '[a]( ../studies/egg/view-002.md "Title")'),
        ("[a]: view:pebble/3\n", "[a]: ../studies/pebble/view-003.md\n"),
        (
            "see [a](view:egg/1) and [b](view:egg/2)",
            "see [a](../studies/egg/view-001.md) and [b](../studies/egg/view-002.md)",
        ),
        ("[![](view:egg/1)](view:egg/2)", None),
    ],
)
def test_links(pack: Pack, written: str, expected: str | None) -> None:
    """Every way of writing a Markdown link is resolved, relative to its page."""
    found = rewritten(written, pack)
    if expected is None:
        assert found.startswith("[<img ") and found.endswith("](../studies/egg/view-002.md)")
    else:
        assert found == expected


def test_link_from_the_first_page(pack: Pack) -> None:
    """A page at the root needs no way up."""
    assert rewritten("[a](view:egg/1)", pack, "index.md") == "[a](studies/egg/view-001.md)"


def test_picture_takes_size_and_description_from_the_pack(pack: Pack) -> None:
    """An empty description is filled from the facts, with quotation marks made safe."""
    found = rewritten("![](view:egg/2/window/values-3)", pack)
    assert found == (
        '<img class="cw-picture" src="../plates/egg/002/window-values-3.webp" '
        'alt="Egg &amp; stand, view 2, tall window, values-3: an egg, light on the &quot;near&quot; side" '
        'width="12" height="15" loading="lazy">'
    )


def test_picture_keeps_its_own_description(pack: Pack) -> None:
    """What the teacher writes stands; a picture without a lighting shows what the view opens with."""
    found = rewritten("![The *near* side](view:egg/2)", pack)
    assert 'alt="The *near* side"' in found
    assert "window-tone.webp" in found


@pytest.mark.parametrize(
    "text",
    [
        "`[a](view:nowhere/1)`",
        "`` `[a](view:nowhere/1)` ``",
        "```\n[a](view:nowhere/1)\n```\n",
        "~~~ md\n```\n[a](view:nowhere/1)\n```\n~~~\n",
        "- item\n\n    ```\n    [a](view:nowhere/1)\n    ```\n",
        "```\n[a](view:nowhere/1)\nnever closed",
        "<!-- [a](view:nowhere/1) -->",
        "The word view:nowhere/1 alone, and (view:nowhere) in brackets.",
    ],
)
def test_code_and_comments_are_left_alone(pack: Pack, text: str) -> None:
    """Nothing is resolved, and nothing refused, where Markdown shows text as it is."""
    assert rewritten(text, pack) == text


def test_links_after_code_are_resolved(pack: Pack) -> None:
    """A fence that is closed, a lone backtick and an unpaired pair do not swallow what follows."""
    text = "```\nx\n```\n[a](view:egg/1) ` and `` [b](view:egg/1)\n\nnext ` [c](view:egg/1)"
    assert rewritten(text, pack).count("view-001.md") == 3


@pytest.mark.parametrize(
    ("written", "sentence"),
    [
        ("[a](view:gourd/1)", "'view:gourd/1' names no study 'gourd'; studies there: egg, pebble."),
        ("[a](view:pebble/2)", "'view:pebble/2' names no view '2' of pebble; views there: 1, 3."),
        ("[a](view:egg/one)", "'view:egg/one' names no view 'one' of egg; views there: 1, 2, 3, 4, 5."),
        (
            "[a](view:egg/1/moon)",
            "'view:egg/1/moon' names no lighting 'moon' of that view; lightings there: side-lamp, window, low-lamp.",
        ),
        (
            "![](view:egg/1/low-lamp/values-9)",
            "'view:egg/1/low-lamp/values-9' names no plate kind 'values-9' of that view; "
            "plate kinds there: tone, values-2, values-3, values-5, families, light-shadow, planes-big, block-in-4, "
            "block-in-1, sections-level, measures, grid.",
        ),
        ("[a](view:egg)", "'view:egg' is not the address of a view; write view:study/number/lighting/plate-kind."),
    ],
)
def test_what_cannot_be_found(pack: Pack, written: str, sentence: str) -> None:
    """The sentence names file and line, what was found and what there is."""
    with pytest.raises(SiteError) as caught:
        rewrite_links(f"one\ntwo {written}\n", pack, PAGE, "content/lessons/one.md", first_line=10)
    assert str(caught.value) == f"content/lessons/one.md:11: {sentence}"


def test_every_wrong_link_is_named_at_once(pack: Pack) -> None:
    """Two wrong links give two problems, in order."""
    with pytest.raises(SiteError) as caught:
        rewritten("[a](view:x/1)\n\n![](view:egg/99)\n", pack)
    assert [problem.where for problem in caught.value.problems] == [
        "content/lessons/one.md:1",
        "content/lessons/one.md:3",
    ]


@given(st.text(alphabet="`~ab\n ", max_size=80))
def test_code_ranges_are_in_order_and_inside(text: str) -> None:
    """Ranges never overlap and never leave the text, whatever stands in it."""
    ranges = code_ranges(text)
    flat = [place for each in ranges for place in each]
    assert flat == sorted(flat)
    assert all(0 <= place <= len(text) for place in flat)
