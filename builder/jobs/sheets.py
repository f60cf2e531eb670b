"""Views on paper in the store: sheet, overlay and table cards of each, and the workbook of a study, for each paper."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from builder.code import code_digest, library_versions
from builder.jobs import tables
from builder.jobs.tables import TABLE, TableJob
from builder.pack import PaperFile, StudyPack
from builder.paper.formats import FORMATS, Paper
from builder.paper.spread import Spread, spread
from builder.sheets.leaf import sheet_document
from builder.sheets.overlay import overlay_document
from builder.sheets.view_sheet import ViewSheet
from builder.sheets.workbook import Cover, workbook
from builder.site.at_table import cards_of
from builder.site.on_paper import cover_of, view_sheets
from builder.store import Entry, Store, key_of
from builder.words.words import Words

SHEET, OVERLAY, WORKBOOK = "sheet.pdf", "overlay.pdf", "workbook.pdf"
SAID = ("count", "sheet", "sheets")
"""What a sheet and an overlay say, by the first names of their phrases' keys."""
SAID_IN_WORKBOOK = (*SAID, *tables.SAID)
"""What a workbook says: each view's card for the table is bound in it."""


@dataclass(frozen=True, slots=True)
class SheetJob:
    """Lay out one view for one paper: its sheet and its overlay."""

    sheet: ViewSheet
    height_mm: float | None
    paper: Paper
    words: Words
    store: Store

    def key(self) -> str:
        """Everything the two files depend on."""
        code = [code_digest("builder.sheets.leaf"), code_digest("builder.sheets.overlay")]
        return key_of(
            "sheet",
            {
                "sheet": self.sheet.key(),
                "code": code,
                "words": self.words.of(*SAID),
                **_laid(self.paper, self.height_mm, self.words),
            },
        )

    def find(self) -> Entry | None:
        """The files as kept in the store, if they are there."""
        return self.store.find("sheet", self.key())

    def run(self) -> Entry:
        """Find or make them."""
        found = self.find()
        if found is not None:
            return found
        lay = lay_out(self.paper, self.sheet.ratio, self.height_mm)
        files = {
            SHEET: sheet_document(self.sheet, lay, self.words).bytes(),
            OVERLAY: overlay_document(self.sheet, lay, self.words).bytes(),
        }
        return _kept(self.store, "sheet", self.key(), files)


@dataclass(frozen=True, slots=True)
class WorkbookJob:
    """Lay out all views of a study for one paper as one document."""

    cover: Cover
    sheets: tuple[ViewSheet, ...]
    height_mm: float | None
    paper: Paper
    words: Words
    store: Store

    def key(self) -> str:
        """Everything the file depends on."""
        return key_of(
            "workbook",
            {
                "cover": dataclasses.asdict(self.cover),
                "sheets": [sheet.key() for sheet in self.sheets],
                "code": code_digest("builder.sheets.workbook"),
                "words": self.words.of(*SAID_IN_WORKBOOK),
                **_laid(self.paper, self.height_mm, self.words),
            },
        )

    def find(self) -> Entry | None:
        """The file as kept in the store, if it is there."""
        return self.store.find("workbook", self.key())

    def run(self) -> Entry:
        """Find or make it."""
        found = self.find()
        if found is not None:
            return found
        lay = lay_out(self.paper, self.sheets[0].ratio, self.height_mm)
        document = workbook(self.cover, self.sheets, self.paper, lay, self.words)
        return _kept(self.store, "workbook", self.key(), {WORKBOOK: document.bytes()})


PaperJob = SheetJob | WorkbookJob | TableJob


def paper_jobs(pack: StudyPack, words: Words, store: Store) -> tuple[PaperJob, ...]:
    """The jobs of a study, the workbooks first: they take longest."""
    sheets = view_sheets(pack, words)
    choice = pack.study.sheets
    papers = [FORMATS[name] for name in choice.papers]
    books = [WorkbookJob(cover_of(pack, words), sheets, choice.height_mm, paper, words, store) for paper in papers]
    leaves = [SheetJob(sheet, choice.height_mm, paper, words, store) for sheet in sheets for paper in papers]
    tables = [TableJob(cards_of(pack, view), paper, words, store) for view in pack.views for paper in papers]
    return (*books, *leaves, *tables)


def find_paper(job: PaperJob) -> Entry | None:
    """The files of a job as kept in the store, if they are there."""
    return job.find()


def run_paper(job: PaperJob) -> Entry:
    """Find or make the files of a job."""
    return job.run()


def with_papers(pack: StudyPack, jobs: Sequence[PaperJob], done: Sequence[Entry]) -> StudyPack:
    """The pack with the files that its jobs made, in the order of the study's papers."""
    start = f"sheets/{pack.study.name}"
    books: list[PaperFile] = []
    by_view: dict[int, list[PaperFile]] = {}
    for job, entry in zip(jobs, done, strict=True):
        paper = job.paper
        if isinstance(job, WorkbookJob):
            books.append(_file(entry, WORKBOOK, "workbook", paper, f"{start}/workbook-{paper.name}.pdf", ""))
            continue
        if isinstance(job, TableJob):
            number = job.cards[0].titles.number
            address = f"{start}/{number:03d}-table-{paper.name}.pdf"
            by_view.setdefault(number, []).append(_file(entry, TABLE, "table", paper, address, ""))
            continue
        files = by_view.setdefault(job.sheet.number, [])
        for kind, name in (("sheet", SHEET), ("overlay", OVERLAY)):
            address = f"{start}/{job.sheet.number:03d}-{kind}-{paper.name}.pdf"
            files.append(_file(entry, name, kind, paper, address, job.sheet.lighting))
    views = tuple(dataclasses.replace(view, papers=tuple(by_view[view.view.number])) for view in pack.views)
    return dataclasses.replace(pack, views=views, workbooks=tuple(books))


def lay_out(paper: Paper, ratio: float, height_mm: float | None) -> Spread:
    """The frames of a study on a paper; whether they fit was checked when the study was read."""
    lay = spread(paper, ratio, height_mm)
    assert lay is not None, "a height that does not fit is refused when the study is read"
    return lay


def _laid(paper: Paper, height_mm: float | None, words: Words) -> Mapping[str, Any]:
    return {
        "paper": dataclasses.asdict(paper),
        "height": height_mm,
        "language": words.language,
        "libraries": library_versions("reportlab", "pillow", "numpy"),
    }


def _kept(store: Store, stage: str, key: str, files: Mapping[str, bytes]) -> Entry:
    def write(folder: Path) -> None:
        for name, data in files.items():
            (folder / name).write_bytes(data)

    return store.put(stage, key, write)


def _file(entry: Entry, name: str, kind: str, paper: Paper, address: str, lighting: str) -> PaperFile:
    size = next(size for file, size, _ in entry.files if file == name)
    return PaperFile(kind, paper.title, lighting, entry.path(name), address, size)
