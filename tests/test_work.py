"""Work is done in order, by whatever crew, and stops at the first failure."""

from __future__ import annotations

import io
import os

import pytest
from rich.console import Console

from builder.errors import CastwalkError, ModelError, Problem
from builder.work import Bars, crew, do_all


def square(value: int) -> int:
    return value * value


def fail_on_three(value: int) -> int:
    if value == 3:
        raise ModelError(Problem("three", "is bad"))
    return value


def refuse_odd(value: int) -> int:
    if value % 2:
        raise ModelError(Problem(f"item {value}", "is odd"))
    return value


def break_down(value: int) -> int:
    raise ZeroDivisionError(value)


def die(value: int) -> int:
    os._exit(9)


@pytest.mark.parametrize("workers", [1, 2])
def test_results_keep_the_items_order(workers: int) -> None:
    """One worker or several: results come in the order of the items, and every one is counted."""
    counted = []
    with crew(workers) as executor:
        results = do_all(executor, square, range(7), lambda: counted.append(1))
    assert results == [0, 1, 4, 9, 16, 25, 36]
    assert len(counted) == 7


def threads_asked_for(_: int) -> str | None:
    return os.environ.get("OPENBLAS_NUM_THREADS")


def test_workers_multiply_in_one_thread_unless_told_otherwise(monkeypatch: pytest.MonkeyPatch) -> None:
    """Processes get one thread each, this one stays as it was, and a wish of the user's stands."""
    monkeypatch.delenv("OPENBLAS_NUM_THREADS", raising=False)
    with crew(2) as executor:
        assert do_all(executor, threads_asked_for, range(2), lambda: None) == ["1", "1"]
    assert "OPENBLAS_NUM_THREADS" not in os.environ
    monkeypatch.setenv("OPENBLAS_NUM_THREADS", "3")
    with crew(2) as executor:
        assert do_all(executor, threads_asked_for, range(2), lambda: None) == ["3", "3"]


@pytest.mark.parametrize("workers", [1, 2])
def test_failure_passes_through_whole(workers: int) -> None:
    """An error raised in a worker arrives with its kind and its problems."""
    with crew(workers) as executor, pytest.raises(ModelError) as caught:
        do_all(executor, fail_on_three, range(7), lambda: None)
    assert caught.value.problems == (Problem("three", "is bad"),)


@pytest.mark.parametrize("workers", [1, 2])
def test_all_that_is_wrong_is_said_at_once(workers: int) -> None:
    """Items that the tutor must mend are named together, in their order."""
    with crew(workers) as executor, pytest.raises(ModelError) as caught:
        do_all(executor, refuse_odd, range(6), lambda: None)
    assert [problem.where for problem in caught.value.problems] == ["item 1", "item 3", "item 5"]


@pytest.mark.parametrize("workers", [1, 2])
def test_our_own_defects_pass_through(workers: int) -> None:
    """Any other exception arrives as it is."""
    with crew(workers) as executor, pytest.raises(ZeroDivisionError):
        do_all(executor, break_down, range(3), lambda: None)


def test_killed_worker_is_one_sentence() -> None:
    """A worker ended from outside gives a sentence with what to do."""
    with crew(2) as executor, pytest.raises(CastwalkError) as caught:
        do_all(executor, die, range(2), lambda: None)
    assert "--workers 1" in str(caught.value)


def test_scheduler_that_is_not_there() -> None:
    """No dask, or no scheduler at the address: one sentence, no traceback."""
    with pytest.raises(CastwalkError) as caught, crew(1, "tcp://127.0.0.1:9"):
        pass
    assert str(caught.value).startswith("--scheduler: ")


@pytest.mark.parametrize(("terminal", "shows"), [(True, True), (False, False)])
def test_bars_only_on_a_terminal(terminal: bool, shows: bool) -> None:
    """A bar with its count on a terminal, silence elsewhere."""
    out = io.StringIO()
    console = Console(file=out, force_terminal=terminal, width=100)
    with Bars(console) as bars, bars.stage("plates", 3) as step:
        step()
    assert ("1/3" in out.getvalue()) is shows
    assert bool(out.getvalue()) is shows
