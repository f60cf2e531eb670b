"""Arrays that travel between stages: read-only, of one type, hashable by content."""

from __future__ import annotations

import hashlib
from typing import Any

import numpy as np
from numpy.typing import DTypeLike, NDArray

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.int32]
Bytes = NDArray[np.uint8]
Bools = NDArray[np.bool_]


def frozen(values: Any, dtype: DTypeLike, shape: tuple[int | None, ...]) -> NDArray[Any]:
    """A read-only, C-ordered copy of ``values`` as ``dtype``; ``None`` in ``shape`` allows any length there."""
    array = np.array(values, dtype=dtype, order="C")
    fits = array.ndim == len(shape) and all(want in (None, got) for want, got in zip(shape, array.shape, strict=True))
    assert fits, f"expected shape {shape}, got {array.shape}"
    array.setflags(write=False)
    return array


def digest(*arrays: NDArray[Any]) -> str:
    """SHA-256 over the types, shapes and bytes of the arrays, as hex."""
    sha = hashlib.sha256()
    for array in arrays:
        sha.update(f"{array.dtype.str}{array.shape}".encode())
        sha.update(np.ascontiguousarray(array).tobytes())
    return sha.hexdigest()
