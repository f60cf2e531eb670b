"""What can be wrong with what the tutor gave us, in the tutor's words.

    CastwalkError
    ├── StudyError     study.yml says something that cannot be built
    ├── ModelError     the mesh file is not a usable solid
    ├── LightError     a lamp stands where no lamp can stand
    ├── CameraError    a view or the chosen rasteriser cannot be used
    ├── PlateError     a plate cannot be made of this view
    ├── PromptError    a prompt template names a fact that does not exist
    ├── StoreError     the store cannot be read or written
    └── SiteError      a page asks for a study or view that does not exist

Each carries data, and the sentence is made here alone: where, what was found, what is allowed, what to do. A broken
promise inside our own code is an assertion, never one of these.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing to mend.

    ``where`` is ``file:line`` or a file or a field; ``found`` what stands there; ``allowed`` what may stand there (may
    be empty); ``do`` what to do next (may be empty). None of them ends in a full stop.
    """

    where: str
    found: str
    allowed: str = ""
    do: str = ""

    def sentence(self) -> str:
        """The problem as one sentence for a person."""
        parts = [part for part in (self.found, self.allowed, self.do) if part]
        return f"{self.where}: {'; '.join(parts)}."


@dataclass(frozen=True, slots=True, order=True)
class Notice:
    """Something the tutor should know that does not stop the build: a crumb removed, a hole left open."""

    where: str
    text: str

    def sentence(self) -> str:
        """The notice as one sentence for a person."""
        return f"{self.where}: {self.text}."


class CastwalkError(Exception):
    """The tutor's input cannot be built. Carries every problem found, not only the first."""

    def __init__(self, problems: Problem | Iterable[Problem]) -> None:
        found = (problems,) if isinstance(problems, Problem) else tuple(problems)
        assert found, "an error needs at least one problem"
        self.problems: tuple[Problem, ...] = found
        super().__init__("\n".join(problem.sentence() for problem in found))

    def __reduce__(self) -> tuple[type[CastwalkError], tuple[tuple[Problem, ...]]]:
        """Survive the way back from a worker process."""
        return type(self), (self.problems,)


class StudyError(CastwalkError):
    """study.yml says something that cannot be built."""


class ModelError(CastwalkError):
    """The mesh file is not a usable solid."""


class LightError(CastwalkError):
    """A lamp stands where no lamp can stand."""


class CameraError(CastwalkError):
    """A view or the chosen rasteriser cannot be used."""


class PlateError(CastwalkError):
    """A plate cannot be made of this view."""


class PromptError(CastwalkError):
    """A prompt template names a fact that does not exist."""


class StoreError(CastwalkError):
    """The store cannot be read or written."""


class SiteError(CastwalkError):
    """A page asks for a study or view that does not exist."""
