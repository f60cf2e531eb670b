"""The share of a lamp that pixels see, found on a grid of them and read between where it changes slowly."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit


@njit(cache=True, nogil=True)
def slow_cells(piece: Any, share: Any, grid: int, slow: float) -> Any:
    """(rows, columns) bool: cells of the grid with all corners on one piece and their shares no further apart."""
    rows, columns = (piece.shape[0] - 1) // grid, (piece.shape[1] - 1) // grid
    cells = np.zeros((rows, columns), np.bool_)
    for row in range(rows):
        for column in range(columns):
            y, x = row * grid, column * grid
            own = piece[y, x]
            if own < 0 or piece[y, x + grid] != own or piece[y + grid, x] != own or piece[y + grid, x + grid] != own:
                continue
            a, b, c, d = share[y, x], share[y, x + grid], share[y + grid, x], share[y + grid, x + grid]
            cells[row, column] = max(a, b, c, d) - min(a, b, c, d) <= slow
    return cells


@njit(cache=True, nogil=True)
def settle(asked: Any, piece: Any, cells: Any, grid: int, share: Any, state: Any) -> Any:
    """Give pixels in slow cells the share between the corners, and mark them 1 in ``state``; list all others, marked 2.

    A pixel on the border of cells needs all of them slow.
    """
    w = piece.shape[1]
    left = np.zeros(len(asked), np.int32)
    count = 0
    for k in range(len(asked)):
        y, x = asked[k] // w, asked[k] % w
        row, column, down, across = y // grid, x // grid, y % grid, x % grid
        good = piece[y, x] >= 0
        for j in range(row - 1 if down == 0 else row, row + 1):
            for i in range(column - 1 if across == 0 else column, column + 1):
                good = good and 0 <= j < cells.shape[0] and 0 <= i < cells.shape[1] and cells[j, i]
        top, first = row * grid, column * grid
        if not good or piece[top, first] != piece[y, x]:
            state[y, x] = 2
            left[count] = asked[k]
            count += 1
            continue
        state[y, x] = 1
        if down > 0 or across > 0:
            upper = share[top, first] * (grid - across) + share[top, first + grid] * across
            lower = share[top + grid, first] * (grid - across) + share[top + grid, first + grid] * across
            share[y, x] = (upper * (grid - down) + lower * down) / (grid * grid)
    return left[:count].copy()


@njit(cache=True, nogil=True)
def beside(done: Any, share: Any, state: Any, steep: float) -> Any:
    """Pixels marked 1 in ``state`` that differ by more than ``steep`` from one beside them that was just done, marked 2
    from now on. So a shadow too thin for the grid is followed to its end.
    """
    h, w = share.shape
    left = np.zeros(4 * len(done), np.int32)
    count = 0
    for k in range(len(done)):
        y, x = done[k] // w, done[k] % w
        for j, i in ((y - 1, x), (y, x - 1), (y, x + 1), (y + 1, x)):
            if j < 0 or i < 0 or j >= h or i >= w or state[j, i] != 1:
                continue
            if abs(share[j, i] - share[y, x]) > steep:
                state[j, i] = 2
                left[count] = j * w + i
                count += 1
    return left[:count].copy()
