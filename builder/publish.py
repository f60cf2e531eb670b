"""From a pack to a site folder: an MkDocs build beside the old site, swapped in only when it is whole."""

from __future__ import annotations

import logging
import os
import shutil
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import yaml
from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config.base import load_config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort, MkDocsException

from builder.errors import CastwalkError, Notice, Problem, SiteError
from builder.pack import Pack
from builder.site.plugin import CastwalkPlugin

CONFIG = "mkdocs.yml"


@dataclass(frozen=True, slots=True)
class Places:
    """Where a project keeps its things, as mkdocs.yml says."""

    project: Path
    config: MkDocsConfig
    plugin: CastwalkPlugin

    @property
    def content(self) -> Path:
        """The tutor's pages."""
        return Path(self.config.docs_dir)

    @property
    def site(self) -> Path:
        """Where the site goes."""
        return Path(self.config.site_dir)

    @property
    def models(self) -> Path:
        """The studies' folders."""
        return Path(self.plugin.config.models)

    @property
    def store(self) -> Path:
        """The store's folder."""
        return Path(self.plugin.config.store)


def read_places(project: Path, site: Path | None = None) -> Places:
    """Read a project's mkdocs.yml. SiteError if there is none, it cannot be read, or it does not name the plug-in."""
    path = project / CONFIG
    if not path.is_file():
        raise SiteError(Problem(str(path), "there is no such file", do="name the project's folder with --project"))
    options = {} if site is None else {"site_dir": str(site.absolute())}
    with _mkdocs_log() as log:
        try:
            config = load_config(str(path), **options)
        except (Abort, MkDocsException, yaml.YAMLError) as error:
            raise SiteError(_problems(path, log, error)) from error
    plugin = config.plugins.get("castwalk")
    if not isinstance(plugin, CastwalkPlugin):
        raise SiteError(Problem(str(path), "the plug-in 'castwalk' is not named under plugins", do="add it there"))
    return Places(project, config, plugin)


def publish(places: Places, pack: Pack) -> tuple[Path, tuple[Notice, ...]]:
    """Build the site and swap it in; the old one stays until the new one is whole.

    Returns the site's folder and what MkDocs warned of. SiteError if a page cannot be built.
    """
    final = places.site
    fresh = final.with_name(f"{final.name}.{uuid.uuid4().hex[:8]}")
    places.plugin.pack = pack
    places.config.site_dir = str(fresh)
    try:
        with _mkdocs_log() as log:
            try:
                mkdocs_build(places.config)
            except (Abort, MkDocsException) as error:
                raise SiteError(_problems(places.project / CONFIG, log, error)) from error
        _swap(fresh, final)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
    return final, tuple(Notice("site", record.getMessage().rstrip(".")) for record in log)


def _swap(fresh: Path, final: Path) -> None:
    old = fresh.with_name(f"{fresh.name}-old")
    try:
        if final.exists():
            final.rename(old)
        fresh.rename(final)
    except OSError as error:
        if old.exists() and not final.exists():
            old.rename(final)
        raise SiteError(Problem(str(final), f"the site cannot be written ({error.strerror})")) from error
    shutil.rmtree(old, ignore_errors=True)


@contextmanager
def _mkdocs_log() -> Iterator[list[logging.LogRecord]]:
    """Collect what MkDocs warns of instead of letting it print."""
    os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")
    records: list[logging.LogRecord] = []

    class Keep(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            records.append(record)

    logger = logging.getLogger("mkdocs")
    handler = Keep(logging.WARNING)
    propagate = logger.propagate
    logger.addHandler(handler)
    logger.propagate = False
    try:
        yield records
    finally:
        logger.removeHandler(handler)
        logger.propagate = propagate


def _problems(path: Path, log: list[logging.LogRecord], error: BaseException) -> tuple[Problem, ...]:
    """Our own problems where they lie behind the error, else what MkDocs logged."""
    cause: BaseException | None = error
    while cause is not None:
        if isinstance(cause, CastwalkError):
            return cause.problems
        cause = cause.__cause__
    texts = [record.getMessage() for record in log if record.levelno >= logging.ERROR] or [str(error)]
    return tuple(Problem(str(path), text.strip().rstrip(".")) for text in texts)
