"""The plate kinds as a page offers them: in groups, and each file once where it is the same under every lamp."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol

from builder.pack import PlateFile, StudyView
from builder.words.words import Words

MEASURES = "measures"
"""The kind whose lines are shown one by one, as their answers are opened."""


class KindNames(Protocol):
    """What a page says of a plate kind; :class:`builder.plates.plate.PlateKind` is one."""

    @property
    def title(self) -> str:
        """Its name."""

    @property
    def teaches(self) -> str:
        """A paragraph for the student."""

    @property
    def group(self) -> str:
        """Slug of the group it is offered in."""

    @property
    def over(self) -> str:
        """Slug of the kind that its lines are laid over; empty for a kind with a picture of its own."""


@dataclass(frozen=True, slots=True)
class KindGroup:
    """Plate kinds that are offered together: slug and title of each."""

    name: str
    title: str
    kinds: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Files:
    """The plates of one lighting, or with an empty ``lighting`` those that are the same under every one."""

    lighting: str
    title: str
    plates: tuple[PlateFile, ...]


def offered(view: StudyView, kinds: Iterable[str]) -> tuple[str, ...]:
    """The kinds a view has a plate of under some lighting, in the order of ``kinds``."""
    made = {kind for shown in view.shown.values() for kind in shown.plates}
    return tuple(kind for kind in kinds if kind in made)


def kind_groups(view: StudyView, kinds: Mapping[str, KindNames], words: Words) -> tuple[KindGroup, ...]:
    """The kinds of a view by group, groups and members in the order of ``kinds``."""
    members: dict[str, list[tuple[str, str]]] = {}
    for kind in offered(view, kinds):
        members.setdefault(kinds[kind].group, []).append((kind, kinds[kind].title))
    return tuple(KindGroup(name, words(f"plate.group_{name}"), tuple(each)) for name, each in members.items())


def plate_files(view: StudyView, kinds: Iterable[str], words: Words) -> Iterator[Files]:
    """Every plate of a view, each file once: lighting by lighting, then those that no lamp changes."""
    order = offered(view, kinds)
    alike = {kind for kind in order if _same_under_all(view, kind)}
    for name, shown in view.shown.items():
        own = tuple(shown.plates[kind] for kind in order if kind in shown.plates and kind not in alike)
        if own:
            yield Files(name, shown.lighting.title, own)
    if alike:
        plates = view.shown[view.opens_with].plates
        yield Files("", words("plate.any_lighting"), tuple(plates[kind] for kind in order if kind in alike))


def _same_under_all(view: StudyView, kind: str) -> bool:
    if len(view.shown) == 1:
        return False
    plates = [shown.plates.get(kind) for shown in view.shown.values()]
    return None not in plates and len({plate.address for plate in plates if plate}) == 1
