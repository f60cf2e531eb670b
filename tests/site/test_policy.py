"""The policy lets a page's own scripts run and nothing else."""

from __future__ import annotations

import base64
import hashlib

from builder.site.policy import with_policy

PAGE = (
    '<!doctype html><html><head><meta charset="utf-8"><title>x</title><script>var a = 1</script></head>'
    '<body><script id="c" type="application/json">{"a": 1}</script><script src="b.js"></script>'
    "<script>var a = 1</script><script>var b = 2</script></body></html>"
)


def test_hashes_are_those_of_the_inline_scripts() -> None:
    """Each different inline script once; data and files need no hash."""
    expected = [
        f"'sha256-{base64.b64encode(hashlib.sha256(text).digest()).decode()}'" for text in (b"var a = 1", b"var b = 2")
    ]
    assert f"script-src 'self' {' '.join(expected)};" in with_policy(PAGE)


def test_policy_stands_before_anything_it_rules() -> None:
    """Only the character set comes first; the rest of the page is untouched."""
    text = with_policy(PAGE)
    assert text.index("Content-Security-Policy") < text.index("<title>")
    start, end = text.index("\n<meta http-equiv"), text.index("<title>")
    assert text[:start] + text[end:] == PAGE


def test_nothing_from_elsewhere() -> None:
    """Nothing is allowed unless it is named, and nothing named is another host."""
    policy = with_policy(PAGE).split('content="')[1].split('"')[0]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == "'none'"
    assert {source for sources in rules.values() for source in sources.split() if "sha256" not in source} == {
        "'none'",
        "'self'",
        "data:",
        "blob:",
    }
