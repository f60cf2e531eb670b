from __future__ import annotations

import pytest

from builder.site.on_paper import plain


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("**Set up, 8 minutes.** Put it up.", "Set up, 8 minutes. Put it up."),
        ("Measure this twice: *tip of the nose*.", "Measure this twice: tip of the nose."),
        ("See [the front](view:mask/47) and `g`.", "See the front and g."),
        ("***Both*** and __this__", "Both and this"),
        ("2 * 3 * 4 stays, and so does 5*6", "2 * 3 * 4 stays, and so does 5*6"),
        ("two\n  lines", "two lines"),
    ],
)
def test_markdown_is_not_printed(text: str, printed: str) -> None:
    """Strong, emphasis, code and links lose their marks and keep their words (CommonMark 6.2, 6.4 and 6.6)."""
    assert plain(text) == printed
