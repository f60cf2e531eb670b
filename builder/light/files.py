"""Solved light in files: one npz each, what is no array as JSON text inside it. The same light gives the same bytes."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path

import numpy as np

from builder.light.lit import Emitter, LightFacts, Lit
from builder.light.transport import Transport


def save_transport(transport: Transport, path: Path) -> None:
    """Write a transport to ``path`` (.npz, not compressed)."""
    with path.open("wb") as file:
        np.savez(file, seen=transport.seen, sky=transport.sky)


def load_transport(path: Path) -> Transport:
    """Read what :func:`save_transport` wrote."""
    with np.load(path, allow_pickle=False) as arrays:
        return Transport(arrays["seen"], arrays["sky"])


def save_lit(lit: Lit, path: Path) -> None:
    """Write a lit surface to ``path`` (.npz, not compressed)."""
    plain = {
        "name": lit.name,
        "emitters": [
            {name: value.tolist() if isinstance(value, np.ndarray) else value for name, value in _fields(emitter)}
            for emitter in lit.emitters
        ],
        "backdrop": lit.backdrop,
        "facts": dataclasses.asdict(lit.facts),
    }
    with path.open("wb") as file:
        np.savez(
            file,
            direct=lit.direct,
            open=lit.open,
            indirect=lit.indirect,
            reflectance=lit.reflectance,
            plain=np.array(json.dumps(plain, sort_keys=True)),
        )


def load_lit(path: Path) -> Lit:
    """Read what :func:`save_lit` wrote."""
    with np.load(path, allow_pickle=False) as arrays:
        plain = json.loads(str(arrays["plain"]))
        return Lit(
            name=plain["name"],
            emitters=tuple(Emitter(**emitter) for emitter in plain["emitters"]),
            direct=arrays["direct"],
            open=arrays["open"],
            indirect=arrays["indirect"],
            reflectance=arrays["reflectance"],
            backdrop=plain["backdrop"],
            facts=LightFacts(**plain["facts"]),
        )


def _fields(emitter: Emitter) -> list[tuple[str, object]]:
    return [(field.name, getattr(emitter, field.name)) for field in dataclasses.fields(emitter)]
