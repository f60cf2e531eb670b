"""The build: from a project folder to a pack, and from the pack to a site."""

from __future__ import annotations

import contextlib
import functools
import itertools
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar, cast

from rich.console import Console

from builder.camera.look import Method
from builder.errors import Notice, PromptError
from builder.jobs.cards import CardsDone, CardsJob
from builder.jobs.lights import LightDone, LightJob, TransportJob
from builder.jobs.models import ModelDone, ModelJob
from builder.jobs.planes import PlanesDone, PlanesJob
from builder.jobs.planes_lights import LevelLightJob
from builder.jobs.sheets import PaperJob, find_paper, paper_jobs, run_paper, with_papers
from builder.jobs.surveys import SurveyDone, SurveyJob
from builder.jobs.views import ShownDone, ViewDone, ViewJob
from builder.pack import Pack, PlanesFiles, PlateFile, ShownView, StudyPack, StudyView
from builder.plates.planes import LEVELS
from builder.plates.registry import KINDS
from builder.prompts.alt import alt_text
from builder.prompts.library import Library, load_library
from builder.store import Entry, Store
from builder.study.description import Lighting, Study, View
from builder.study.read import find_studies
from builder.words.words import Words, load_words
from builder.work import Bars, crew, do_all, processors

Job = TypeVar("Job", ModelJob, SurveyJob, PlanesJob, CardsJob, TransportJob, LightJob, LevelLightJob, ViewJob, PaperJob)
Done = TypeVar("Done")


@dataclass(frozen=True, slots=True)
class Options:
    """How to build."""

    workers: int = 1
    camera: Method = "auto"
    scheduler: str | None = None
    language: str = "en"


@dataclass(slots=True)
class Report:
    """What a build did: filled while it runs, shown at its end."""

    seconds: dict[str, float] = field(default_factory=dict)
    studies: int = 0
    views: int = 0
    rendered: int = 0
    reused: int = 0
    bytes: int = 0
    notices: list[Notice] = field(default_factory=list)
    used: set[tuple[str, str]] = field(default_factory=set)
    """Entries of the store that this build's pack stands on."""

    @contextmanager
    def timed(self, stage: str) -> Iterator[None]:
        """Add the seconds of a block to a stage."""
        start = time.perf_counter()
        try:
            yield
        finally:
            self.seconds[stage] = self.seconds.get(stage, 0.0) + time.perf_counter() - start


def pack_of(project: Path, content: Path, models: Path, store: Path, language: str) -> Pack:
    """The pack of a project by its folders, made with every processor: what the MkDocs plug-in asks for."""
    options = Options(workers=processors(), language=language)
    pack, _ = make_pack(project, content, models, Store(store), options, Console(stderr=True))
    return pack


def make_pack(
    project: Path, content: Path, models: Path, store: Store, options: Options, console: Console
) -> tuple[Pack, Report]:
    """Read, clean, light, look, measure and word everything; whatever is in the store is taken from there.

    Everything is read and checked before the first slow step. CastwalkError with every problem found.
    """
    report = Report()
    with report.timed("read"):
        studies = find_studies(models, project)
        numbers = {study.name: [view.number for view in study.views] for study in studies}
        library = load_library(content, numbers, options.language)
        if problems := [problem for study in studies for problem in library.problems(study)]:
            raise PromptError(problems)
        words = load_words(options.language)
    with Bars(console) as bars, _crew_when_needed(options) as team:
        with report.timed("models"):
            model_jobs = [ModelJob(study, store) for study in studies]
            made = _all(team, "models", model_jobs, ModelJob.find, ModelJob.run, bars)
            survey_jobs = [SurveyJob(study, store, model) for study, model in zip(studies, made, strict=True)]
            surveys = _all(team, "surveys", survey_jobs, SurveyJob.find, SurveyJob.run, bars)
        with report.timed("planes"):
            planes_jobs = [PlanesJob(study, store, model) for study, model in zip(studies, made, strict=True)]
            broken = _all(team, "planes", planes_jobs, PlanesJob.find, PlanesJob.run, bars)
        with report.timed("cards"):
            cards_jobs = [CardsJob(study, store, model, words) for study, model in zip(studies, made, strict=True)]
            cards = _all(team, "cards", cards_jobs, CardsJob.find, CardsJob.run, bars)
        with report.timed("light"):
            light_jobs = [
                LightJob(study, lighting, store, model)
                for study, model in zip(studies, made, strict=True)
                for lighting in study.lightings
            ]
            unlit = {job.study.name: job.transport() for job in light_jobs if job.find() is None}
            _all(team, "transport", list(unlit.values()), TransportJob.find, TransportJob.run, bars)
            solved = iter(_all(team, "light", light_jobs, LightJob.find, LightJob.run, bars))
            lit = [tuple(itertools.islice(solved, len(study.lightings))) for study in studies]
            level_jobs = [
                LevelLightJob(study, store, level, lights)
                for study, planes, lights in zip(studies, broken, lit, strict=True)
                for level in planes.levels
            ]
            relit = iter(_all(team, "planes light", level_jobs, LevelLightJob.find, LevelLightJob.run, bars))
            levels = [tuple(itertools.islice(relit, len(planes.levels))) for planes in broken]
        report.used.update(("model", model.key) for model in made)
        report.used.update(("transport", job.transport().key()) for job in light_jobs)
        report.used.update(("lit", light.key) for lights in lit for light in lights)
        report.used.update((each.entry.stage, each.entry.key) for each in surveys)
        report.used.update((each.entry.stage, each.entry.key) for each in cards)
        report.used.update((planes.entry.stage, planes.entry.key) for planes in broken)
        report.used.update(("planes-model", each.level.key) for row in levels for each in row)
        report.used.update(("lit", key) for row in levels for each in row for key in each.lights.values())
        with report.timed("plates"):
            view_jobs = [
                ViewJob(study, store, view, model.key, lights, options.camera, row)
                for study, model, lights, row in zip(studies, made, lit, levels, strict=True)
                for view in study.views
            ]
            seen = iter(_all(team, "plates", view_jobs, ViewJob.find, ViewJob.run, bars))
        with report.timed("words"):
            packs = tuple(
                _study_pack(
                    study,
                    model,
                    survey,
                    planes,
                    card,
                    lights,
                    list(itertools.islice(seen, len(study.views))),
                    library,
                    report,
                )
                for study, model, survey, planes, card, lights in zip(
                    studies, made, surveys, broken, cards, lit, strict=True
                )
            )
        with report.timed("sheets"):
            packs = _printed(team, packs, store, words, bars, report)
    return Pack(packs), report


def _printed(
    team: Callable[[], Executor],
    packs: Sequence[StudyPack],
    store: Store,
    words: Words,
    bars: Bars,
    report: Report,
) -> tuple[StudyPack, ...]:
    """The packs with their views on paper."""
    jobs = [paper_jobs(pack, words, store) for pack in packs]
    done = iter(_all(team, "sheets", [job for row in jobs for job in row], find_paper, run_paper, bars))
    papers = [tuple(itertools.islice(done, len(row))) for row in jobs]
    report.used.update((entry.stage, entry.key) for row in papers for entry in row)
    return tuple(with_papers(*each) for each in zip(packs, jobs, papers, strict=True))


@contextmanager
def _crew_when_needed(options: Options) -> Iterator[Callable[[], Executor]]:
    """A function that gives the executor, hired at its first call: a build that finds everything needs no workers."""
    with contextlib.ExitStack() as stack:

        @functools.cache
        def team() -> Executor:
            return stack.enter_context(crew(options.workers, options.scheduler))

        yield team


def _all(
    team: Callable[[], Executor],
    title: str,
    jobs: Sequence[Job],
    find: Callable[[Job], Done | None],
    run: Callable[[Job], Done],
    bars: Bars,
) -> list[Done]:
    """Every job's result in the jobs' order: from the store where it is there, else by the crew."""
    with bars.stage(title, len(jobs)) as step:
        done = [find(job) for job in jobs]
        missing = [index for index, result in enumerate(done) if result is None]
        for _ in range(len(jobs) - len(missing)):
            step()
        if missing:
            for index, result in zip(missing, do_all(team(), run, [jobs[i] for i in missing], step), strict=True):
                done[index] = result
    return [result for result in done if result is not None]


def _study_pack(
    study: Study,
    model: ModelDone,
    survey: SurveyDone,
    planes: PlanesDone,
    cards: CardsDone,
    lights: tuple[LightDone, ...],
    seen: Sequence[ViewDone],
    library: Library,
    report: Report,
) -> StudyPack:
    """Put words to what was measured, and count."""
    by_name = {light.name: light for light in lights}
    views = []
    for view, done in zip(study.views, seen, strict=True):
        shown = {lighting.name: _shown_view(study, view, lighting, done, library) for lighting in study.lightings}
        opening = _opening(view.number, done.shown)
        views.append(StudyView(view, done.eye_mm, done.distance_mm, opening, shown, done.form.measures()))
        report.rendered += done.rendered
        report.reused += done.reused
        kept = list(done.entries())
        report.bytes += sum(entry.size for entry in kept if entry.stage == "plate")
        report.used.update((entry.stage, entry.key) for entry in kept)
    notices = (*model.notices, *planes.notices, *cards.notices, *(notice for done in seen for notice in done.notices))
    report.studies += 1
    report.views += len(views)
    report.notices.extend(notices)
    return StudyPack(
        study=study,
        model=model.facts,
        ground_mm=model.ground_mm,
        footprint_mm=model.footprint_mm,
        lights={name: light.facts for name, light in by_name.items()},
        lamps={name: light.lamps for name, light in by_name.items()},
        views=tuple(views),
        notices=notices,
        planes_files=tuple(_planes_files(study, planes)),
        cards=cards.files,
        survey=survey.facts,
        sides=survey.files,
    )


def _planes_files(study: Study, planes: PlanesDone) -> Iterator[PlanesFiles]:
    """The files of each level for other programs, with their places in the site."""
    for each in planes.levels:
        stem = f"planes/{study.name}-{LEVELS[each.level]}"
        yield PlanesFiles(
            level=each.level,
            count=each.count,
            rms_mm=each.rms_mm,
            greatest_mm=each.greatest_mm,
            stl=planes.solid(each.level, "stl"),
            stl_address=f"{stem}.stl",
            glb=planes.solid(each.level, "glb"),
            glb_address=f"{stem}.glb",
        )


def _opening(number: int, shown: Mapping[str, ShownDone]) -> str:
    """The lighting a view's page opens with: in turn, among those that show both families well."""
    light = {name: float(cast(float, one.facts["light_share"])) for name, one in shown.items()}
    fair = [name for name, share in light.items() if 0.2 <= share <= 0.9]
    return fair[number % len(fair)] if fair else min(light, key=lambda name: abs(light[name] - 0.5))


def _shown_view(study: Study, view: View, lighting: Lighting, done: ViewDone, library: Library) -> ShownView:
    shown = done.shown[lighting.name]
    start = f"plates/{study.name}/{view.number:03d}"
    plates = {}
    for kind in KINDS:
        if kind.name in shown.plates:
            alt = alt_text(study, view, lighting, kind.title, shown.facts)
            stem = f"{start}/{lighting.name}-{kind.name}"
            plates[kind.name] = _plate_file(kind.name, shown.plates[kind.name], stem, study, alt)
        elif kind.name in done.form.plates:
            alt = alt_text(study, view, None, kind.title, shown.facts)
            plates[kind.name] = _plate_file(kind.name, done.form.plates[kind.name], f"{start}/{kind.name}", study, alt)
    prompts = library.prompts(study, view, lighting, shown.facts)
    return ShownView(lighting, shown.facts, f"{start}/{lighting.name}-facts.json", plates, prompts)


def _plate_file(kind: str, entry: Entry, stem: str, study: Study, alt: str) -> PlateFile:
    names = {name for name, _, _ in entry.files}
    plate = next(name for name in sorted(names) if name.startswith("plate."))
    thumb = "thumb.webp" if "thumb.webp" in names else None
    drawing = "outlines.svg" if "outlines.svg" in names else None
    return PlateFile(
        kind=kind,
        path=entry.path(plate),
        thumb=entry.path(thumb) if thumb else None,
        address=f"{stem}{Path(plate).suffix}",
        thumb_address=f"{stem}-small.webp" if thumb else None,
        drawing=entry.path(drawing) if drawing else None,
        drawing_address=f"{stem}-outlines.svg" if drawing else None,
        width_px=study.picture.width_px,
        height_px=study.picture.height_px,
        bytes=entry.path(plate).stat().st_size,
        alt=alt,
    )
