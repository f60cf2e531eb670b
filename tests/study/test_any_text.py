"""Whatever stands in study.yml, the reader answers with a study or with sentences, and with nothing else."""

import tempfile
from decimal import Decimal
from pathlib import Path

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st

from builder.errors import StudyError
from builder.study.description import Length, Study
from builder.study.lightings import LIGHTINGS
from builder.study.presets import PRESETS
from builder.study.read import read_study
from builder.study.schema import FILL, NAMED_LIGHTING, OWN_LIGHTING, OWN_VIEW, PROMPT_KINDS, PROMPTS, STUDY


@pytest.fixture(scope="module")
def read_bytes():
    """Reads bytes as a study; its folder lives as long as the module, since hypothesis asks hundreds of times."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / "models" / "mask"
        folder.mkdir(parents=True)
        (folder / "mask.ply").write_text("ply\n")

        def read(data: bytes) -> Study | StudyError:
            (folder / "study.yml").write_bytes(data)
            try:
                return read_study(folder / "study.yml", Path(made))
            except StudyError as error:
                return error

        yield read


def is_answer(answer: Study | StudyError) -> bool:
    if isinstance(answer, Study):
        return True
    lines = [problem.where.partition(":")[2] for problem in answer.problems]
    assert lines == sorted(lines, key=lambda line: int(line or 0))
    assert all(len(problem.sentence().splitlines()) == 1 for problem in answer.problems)
    return all(problem.sentence().isprintable() for problem in answer.problems)


@given(st.binary(max_size=300))
def test_any_bytes(read_bytes, data):
    assert is_answer(read_bytes(data))


SIGNS = st.text(st.sampled_from("ab1 :-{}[],&*!|>'\"%@`#?\n\t\\.=<~0"), max_size=80)


@settings(max_examples=300)
@given(SIGNS | st.text(max_size=80))
@example('title: "\\UFFFFFFFF"')
@example('title: "\\ud800"')
@example("%YAML 1." + "9" * 5000 + "\n---\ntitle: x")
@example("title: " + "9" * 5000)
@example("title: 1:" + "59:" * 2000 + "1")
@example("title: 0x" + "f" * 5000)
@example("title: 2026-99-99")
@example("title: 0000-00-00")
@example("title: 99999999999-1-1")
@example("? ? ? x")
@example("[a]: b")
@example("title: !<tag:yaml.org,2002:str> x")
@example("!!binary title: x")
@example("\ufeff\ufefftitle: x")
@example("title: =\nabout: <<\n<<: 1\n=: 2")
@example("a\x85b: c")
@example("\u2028a: b\n\u2029c: d")
def test_any_text(read_bytes, text):
    assert is_answer(read_bytes(text.encode("utf-8", "surrogatepass")))


LEAVES = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.dates()
    | st.text(max_size=12)
    | st.sampled_from(["4 sizes", "front arc", "side lamp", "+z", "mm", "mask.ply", "010", "12:30", "no", 61, 20])
)
KEYS = st.sampled_from(
    (
        *STUDY.names(),
        *(key for group in (OWN_VIEW, NAMED_LIGHTING, OWN_LIGHTING, FILL, PROMPTS) for key in group.names()),
    )
)
TREES = st.recursive(
    LEAVES, lambda inside: st.lists(inside, max_size=4) | st.dictionaries(KEYS, inside, max_size=5), max_leaves=25
)


@settings(max_examples=120)
@given(st.dictionaries(KEYS, TREES, max_size=8))
def test_any_tree_of_known_words(read_bytes, tree):
    assert is_answer(read_bytes(yaml.safe_dump(tree, allow_unicode=True).encode("utf-8", "surrogatepass")))


# --- studies that are right must come back as they were written ---

DECIMALS = st.decimals(-359, 359, places=2).map(lambda number: number + 0)  # no negative zero
PLAIN = st.text(st.characters(categories=("L", "N", "P", "S", "Zs")), min_size=1, max_size=40)
TITLES = PLAIN.map(str.strip).filter(lambda text: text and text.isprintable())
SIZES = st.decimals(1, 100, places=2)
NAMES = st.from_regex(r"[a-z][a-z0-9]{0,8}( [a-z0-9]{1,8}){0,2}", fullmatch=True)


@st.composite
def studies(draw):
    """A right study as plain values, with lengths as (number, unit)."""
    return {
        "title": draw(TITLES),
        "about": draw(TITLES),
        "unit": draw(st.sampled_from(["mm", "cm", "m", "in"])),
        "up": draw(st.sampled_from(["+x", "-x"])),
        "front": draw(st.sampled_from(["+y", "-z"])),
        "crease": draw(st.decimals(0, 180, places=2)),
        "sets": draw(st.lists(st.sampled_from([one.name for one in PRESETS]), unique=True, max_size=3)),
        "views": draw(
            st.dictionaries(
                st.integers(61, 999), st.tuples(DECIMALS, st.integers(-80, 80), SIZES, TITLES), min_size=1, max_size=5
            )
        ),
        "lightings": draw(st.lists(st.sampled_from(LIGHTINGS), unique=True, min_size=1, max_size=4)),
        "landmarks": draw(st.dictionaries(NAMES, st.tuples(DECIMALS, DECIMALS, DECIMALS), max_size=4)),
        "kinds": draw(st.lists(st.sampled_from(PROMPT_KINDS), unique=True, min_size=1)),
    }


def plain(value):
    """A decimal as the digits it has, through the dumper's own float."""
    return float(value) if isinstance(value, Decimal) else value


@settings(max_examples=100)
@given(studies())
def test_a_right_study_is_read_as_written(read_bytes, written):
    tree = {key: plain(written[key]) for key in ("title", "about", "unit", "up", "front", "crease")}
    tree["mesh"] = "mask.ply"
    tree["views"] = [
        *written["sets"],
        *(
            {"number": number, "bearing": plain(turn), "eye level": level, "distance": f"{far} sizes", "title": title}
            for number, (turn, level, far, title) in written["views"].items()
        ),
    ]
    tree["lightings"] = [one.title for one in written["lightings"]]
    tree["landmarks"] = {name: [plain(number) for number in point] for name, point in written["landmarks"].items()}
    tree["prompts"] = {"kinds": written["kinds"]}

    study = read_bytes(yaml.safe_dump(tree, allow_unicode=True, sort_keys=False).encode())

    assert isinstance(study, Study), study
    assert (study.title, study.about) == (written["title"], written["about"])
    assert (study.mesh.unit, study.mesh.up, study.mesh.front) == (written["unit"], written["up"], written["front"])
    assert study.mesh.crease_deg == float(written["crease"])
    assert [view.number for view in study.views] == sorted(view.number for view in study.views)
    assert len(study.views) == len(written["views"]) + sum(
        len(one.places) for one in PRESETS if one.name in written["sets"]
    )
    for number, (turn, level, far, title) in written["views"].items():
        view = study.view(number)
        turns = (view.bearing_deg - float(turn)) / 360
        assert turns == pytest.approx(round(turns), abs=1e-12)
        assert -180 < view.bearing_deg <= 180
        assert (view.eye_level_deg, view.distance, view.title) == (level, Length(float(far), True), title)
    assert study.lightings == tuple(written["lightings"])
    assert {mark.name: mark.point_mm for mark in study.landmarks} == {
        name: tuple(map(float, point)) for name, point in written["landmarks"].items()
    }
    assert study.prompts.kinds == tuple(kind.replace(" ", "-") for kind in written["kinds"])
