"""What a level is to become: how many planes, within which bigger ones."""

from __future__ import annotations

from dataclasses import dataclass

from builder.arrays import Bools

SPREAD = 0.05
"""So many more or fewer planes than wanted are let pass, in shares of them, and one in any case."""


@dataclass(frozen=True, slots=True, eq=False)
class Aim:
    """``wanted`` planes; ``nested`` if none may be joined to one of another parent; ``crosses`` (k,) the bigger planes
    that cross the mirror, ``None`` if there are none bigger.
    """

    wanted: int
    nested: bool
    crosses: Bools | None = None

    def misfit(self, made: int) -> int:
        """How many planes there are too many or too few, beyond what is let pass."""
        return max(abs(made - self.wanted) - max(int(SPREAD * self.wanted), 1), 0)

    def over(self, made: int) -> int:
        """How many there are too many, beyond what is let pass."""
        return self.misfit(made) if made > self.wanted else 0
