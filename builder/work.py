"""Who does the work, and how far it has come: one executor interface, and one progress line a stage."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from typing import Any, ParamSpec, TypeVar

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn, TimeRemainingColumn

from builder.errors import CastwalkError, Problem

Item = TypeVar("Item")
Result = TypeVar("Result")
Params = ParamSpec("Params")


class Here(Executor):
    """Does the work at once in this process: one worker, and what tests use."""

    def submit(self, fn: Callable[Params, Result], /, *args: Params.args, **kwargs: Params.kwargs) -> Future[Result]:
        """Run ``fn`` now; its result or exception is in the future that comes back."""
        future: Future[Result] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:  # noqa: BLE001 - a future carries whatever was raised; result() raises it again
            future.set_exception(error)
        return future


def processors() -> int:
    """How many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextlib.contextmanager
def crew(workers: int, scheduler: str | None = None) -> Iterator[Executor]:
    """An executor: this process for one worker, processes of this machine for more, or a dask scheduler's workers.

    Workers of a scheduler must see the project and its store under the same paths. CastwalkError if the scheduler
    cannot be used.
    """
    if scheduler is not None:
        with _scheduled(scheduler) as executor:
            yield executor
    elif workers == 1:
        yield Here()
    else:
        # spawn: a forked copy of a process that holds threads and a GL context may hang
        context = multiprocessing.get_context("spawn")
        with _one_thread_for_products(), ProcessPoolExecutor(workers, mp_context=context) as executor:
            yield executor


@contextlib.contextmanager
def _one_thread_for_products() -> Iterator[None]:
    """Have processes begun meanwhile multiply matrices in one thread each: the workers fill the processors as it is,
    and threads that wait for each other's few milliseconds keep them from it.
    """
    names = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")
    missing = [name for name in names if name not in os.environ]
    os.environ.update(dict.fromkeys(missing, "1"))
    try:
        yield
    finally:
        for name in missing:
            del os.environ[name]


@contextlib.contextmanager
def _scheduled(address: str) -> Iterator[Executor]:
    try:
        from distributed import Client
    except ImportError as error:
        raise CastwalkError(
            Problem("--scheduler", "the package 'distributed' is not installed", do="pip install 'castwalk[cluster]'")
        ) from error
    try:
        client = Client(address, timeout="10s")
    except (OSError, TimeoutError, ValueError) as error:
        raise CastwalkError(
            Problem("--scheduler", f"no scheduler answers at {address!r}", "an address like tcp://host:8786")
        ) from error
    with client:
        yield client.get_executor()


class Bars:
    """One progress bar a stage with the time left; silent when the console is not a terminal."""

    def __init__(self, console: Console) -> None:
        self._progress = Progress(
            TextColumn("{task.description:<12}"),
            BarColumn(),
            MofNCompleteColumn(),
            TextColumn("left"),
            TimeRemainingColumn(),
            TextColumn("taken"),
            TimeElapsedColumn(),
            console=console,
            disable=not console.is_terminal,
        )

    def __enter__(self) -> Bars:
        """Show the bars."""
        self._progress.start()
        return self

    def __exit__(self, *_: object) -> None:
        """Leave them as they stand."""
        self._progress.stop()

    @contextlib.contextmanager
    def stage(self, title: str, total: int) -> Iterator[Callable[[], None]]:
        """A bar for ``total`` pieces of work; yields the function that moves it on by one."""
        task = self._progress.add_task(title, total=total)
        yield lambda: self._progress.advance(task)


def do_all(
    executor: Executor,
    work: Callable[[Item], Result],
    items: Sequence[Item],
    done: Callable[[], None],
) -> list[Result]:
    """``work`` on every item, results in the items' order; ``done`` after each.

    What is wrong with several items is raised as one error when all are done, in the items' order. Any other failure
    cancels what has not begun and passes through. CastwalkError if a worker was killed.
    """
    futures: list[Future[Any]] = [executor.submit(work, item) for item in items]
    try:
        for future in as_completed(futures):
            if not isinstance(future.exception(), CastwalkError):
                future.result()
            done()
    except BrokenProcessPool as error:
        raise CastwalkError(
            Problem(
                "a worker process",
                "was ended from outside, most often for want of memory",
                do="build again with fewer workers (--workers 1); what was finished is kept",
            )
        ) from error
    finally:
        for future in futures:
            future.cancel()
    wrong = [found for future in futures if isinstance(found := future.exception(), CastwalkError)]
    if wrong:
        raise type(wrong[0])(problem for found in wrong for problem in found.problems)
    return [future.result() for future in futures]
