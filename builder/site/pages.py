"""Every page of a pack, as sources for the site builder. Pure: no file is read or written, no site builder is known."""

from __future__ import annotations

import itertools
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from html import escape
from pathlib import Path

from jinja2 import Environment

from builder.pack import CardFiles, Pack, PlateFile, StudyPack, StudyView
from builder.prompts.prompt import Prompt
from builder.site.about_model import model_rows, sides_px, size_words
from builder.site.address import build_page, course_page, lightings_page, sheet_page, study_page, view_page, way
from builder.site.beside import beside
from builder.site.course import course_weeks
from builder.site.drawings import elevation_svg, plan_svg
from builder.site.kinds import KindNames, kind_groups, offered, plate_files
from builder.site.legend import sheet_legends, view_legends
from builder.site.measured import fact_groups
from builder.site.set_up import card_words, set_up
from builder.site.templating import template_environment
from builder.words.directions import centimetres, level_words, side_words, wrapped_deg
from builder.words.words import Words

FIRST_KIND = "tone"
"""The plate kind a view opens with, where it is made."""
THREE_QUARTER_DEG = 40.0
"""Bearing of the view between front and profile that draughtsmen call three-quarter; common practice, no source."""


@dataclass(frozen=True, slots=True)
class SiteFile:
    """A file for the site at an address below the pages' root; ``content`` is text, bytes, or a file to copy.

    ``in_menu`` says whether a page is offered in the site's menu; views and sheets are reached from their study.
    ``found_by`` is the text the site's search knows a page by, empty for none: what repeats on every page is not in it.
    """

    address: str
    content: str | bytes | Path
    in_menu: bool = True
    found_by: str = ""


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Another view of the same study."""

    number: int
    address: str


def site_files(
    pack: Pack, words: Words, kinds: Mapping[str, KindNames], care: str = "", about: Mapping[str, str] | None = None
) -> tuple[SiteFile, ...]:
    """All generated pages and pictures of a pack. ``kinds`` names the plate kinds by their slug; ``care`` is
    the address of the tutor's own page of cautions, empty for none; ``about`` that of the page about a plate kind.
    """
    environment = template_environment(words, care, about or {})
    files: list[SiteFile] = []
    for study in pack.studies:
        makers = _StudyPages(study, words, kinds, environment)
        files += [makers.study(), makers.lightings(), makers.course()]
        if study.cards is not None:
            files.append(makers.build(study.cards))
        for index, view in enumerate(study.views):
            files += [makers.view(index), makers.sheet(view)]
        files += list(pictures(study))
    return tuple(files)


def studies_list(pack: Pack, words: Words, page: str = "index.md") -> str:
    """The cards of all studies, to be added to the tutor's first page, as Markdown with HTML."""
    environment = template_environment(words)
    cards = [
        {
            "study": study,
            "address": study_page(study.study.name),
            "plate": opening_plate(shows_best(study), shows_best(study).opens_with),
        }
        for study in pack.studies
    ]
    heading = words("home.heading")
    body = environment.get_template("home.html.jinja").render(cards=cards, page=page)
    return f"\n\n## {_plain(heading)} {{ #studies }}\n\n{body}\n"


def pictures(study: StudyPack) -> Iterator[SiteFile]:
    """The plates, their small versions and their drawings, each file once; and the planes models."""
    every = (plate for view in study.views for shown in view.shown.values() for plate in shown.plates.values())
    for plate in {plate.address: plate for plate in every}.values():
        yield SiteFile(plate.address, plate.path)
        if plate.thumb is not None and plate.thumb_address is not None:
            yield SiteFile(plate.thumb_address, plate.thumb)
        if plate.drawing is not None and plate.drawing_address is not None:
            yield SiteFile(plate.drawing_address, plate.drawing)
    for paper in (*study.workbooks, *(paper for view in study.views for paper in view.papers)):
        yield SiteFile(paper.address, paper.path)
    if study.cards is not None:
        yield SiteFile(study.cards.pdf_address, study.cards.pdf)
        yield SiteFile(study.cards.svg_address, study.cards.svg)
    if study.sides is not None:
        yield SiteFile(study.sides.small_address, study.sides.small)
        yield SiteFile(study.sides.large_address, study.sides.large)
    for planes in study.planes_files:
        yield SiteFile(planes.stl_address, planes.stl)
        yield SiteFile(planes.glb_address, planes.glb)


def opening_plate(view: StudyView, lighting: str) -> PlateFile:
    """The plate a view opens with under a lighting."""
    plates = view.shown[lighting].plates
    return plates.get(FIRST_KIND) or next(iter(plates.values()))


def shows_best(study: StudyPack) -> StudyView:
    """The view that stands for a study on the first page: the eye most level, and nearest to three-quarter."""
    return min(
        study.views,
        key=lambda each: (
            abs(each.view.eye_level_deg),
            abs(abs(wrapped_deg(each.view.bearing_deg)) - THREE_QUARTER_DEG),
        ),
    )


def where_words(view: StudyView, words: Words) -> str:
    """Where the eye of a view stands, in one line."""
    return ", ".join(
        (
            side_words(words, "view.where_bearing_", view.view.bearing_deg),
            level_words(words, "view.where_", view.view.eye_level_deg),
            words("view.where_distance", distance=centimetres(view.distance_mm)),
        )
    )


@dataclass(frozen=True, slots=True)
class _StudyPages:
    """Makes the pages of one study."""

    pack: StudyPack
    words: Words
    kinds: Mapping[str, KindNames]
    environment: Environment

    def study(self) -> SiteFile:
        study, words = self.pack.study, self.words
        page = study_page(study.name)
        lightings = [(lighting.name, lighting.title) for lighting in study.lightings]
        tiles = [self._tile(view, page) for view in self.pack.views]
        description = words(
            "study.description",
            title=study.title,
            views=words.count("count.views", len(self.pack.views)),
            lightings=words.count("count.lightings", len(study.lightings)),
        )
        body = self._render(
            "study",
            page,
            lightings_address=lightings_page(study.name),
            course_address=course_page(study.name),
            build_address=build_page(study.name),
            lighting_options=[("", words("lighting.as_opened")), *lightings],
            tiles=tiles,
            size=size_words(self.pack, words),
            plan_svg=plan_svg(self.pack, words, self.environment, page),
            model_rows=model_rows(self.pack, words),
            sides_px=sides_px(self.pack),
        )
        text = _page(study.title, study.title, description, body, hide=("toc",))
        return SiteFile(page, text, found_by=f"{study.about} {study.credit}")

    def view(self, index: int) -> SiteFile:
        views, words, study = self.pack.views, self.words, self.pack.study
        view = views[index]
        around = [Neighbour(each.view.number, view_page(study.name, each.view.number)) for each in views]
        page = around[index].address
        facts = [(shown, groups) for shown in view.shown.values() if (groups := fact_groups(shown.facts, words))]
        body = self._render(
            "view",
            page,
            **self._shown(view),
            legends=list(view_legends(view, words)),
            before=around[index - 1] if index else None,
            after=around[index + 1] if index + 1 < len(views) else None,
            others=around,
            facts=facts,
            study_address=study_page(study.name),
            sheet_address=sheet_page(study.name, view.view.number),
            lightings_address=lightings_page(study.name),
        )
        heading = "view.full_title" if view.view.title else "view.title"
        title = words("view.page_title", study=study.title, number=view.view.number)
        description = words(
            "view.description",
            study=study.title,
            number=view.view.number,
            about=view.view.title or where_words(view, words),
        )
        return SiteFile(
            page,
            _page(
                title,
                words(heading, number=view.view.number, title=view.view.title),
                description,
                body,
                hide=("navigation", "toc", "footer"),
            ),
            in_menu=False,
            found_by=self._found_by(view),
        )

    def sheet(self, view: StudyView) -> SiteFile:
        words, study = self.words, self.pack.study
        page = sheet_page(study.name, view.view.number)
        title = words("sheet.title", study=study.title, number=view.view.number)
        description = words("sheet.description", study=study.title, number=view.view.number)
        body = self._render(
            "sheet",
            page,
            **self._shown(view),
            legends=list(sheet_legends(view, words, {kind for kind, names in self.kinds.items() if names.over})),
            view_address=view_page(study.name, view.view.number),
        )
        text = _page(title, title, description, body, hide=("navigation", "toc", "footer"))
        return SiteFile(page, text, in_menu=False)

    def lightings(self) -> SiteFile:
        words, study = self.words, self.pack.study
        page = lightings_page(study.name)
        entries = []
        view = shows_best(self.pack)  # the same for every lighting, so that they can be compared
        for lighting in study.lightings:
            entries.append(
                {
                    "lighting": lighting,
                    "view": view,
                    "plate": opening_plate(view, lighting.name),
                    "address": view_page(study.name, view.view.number),
                    "set_up": set_up(self.pack, lighting, words),
                    "plan": plan_svg(self.pack, words, self.environment, page, lighting=lighting.name),
                    "side": elevation_svg(self.pack, words, self.environment, lighting),
                }
            )
        about = {"study_address": study_page(study.name), "card": card_words(self.pack)}
        body = self._render("lightings", page, entries=entries, **about)
        title = words("lightings.title", study=study.title)
        description = words("lightings.description", study=study.title)
        text = _page(title, title, description, body, hide=("toc",))
        found_by = " ".join(f"{lighting.title}. {lighting.about}" for lighting in study.lightings)
        return SiteFile(page, text, in_menu=False, found_by=found_by)

    def course(self) -> SiteFile:
        words, study = self.words, self.pack.study
        page = course_page(study.name)
        links = {"study_address": study_page(study.name), "view_page": view_page, "opening_plate": opening_plate}
        body = self._render("course", page, weeks=course_weeks(self.pack, words), **links)
        title = words("course.title", study=study.title)
        text = _page(title, title, words("course.description", study=study.title), body, hide=("toc",))
        return SiteFile(page, text, in_menu=False)

    def build(self, cards: CardFiles) -> SiteFile:
        words, study = self.words, self.pack.study
        page = build_page(study.name)
        # steps and items that follow one another make one list
        parts = [(kind, list(blocks)) for kind, blocks in itertools.groupby(cards.blocks, lambda block: block.kind)]
        body = self._render("build", page, cards=cards, parts=parts, study_address=study_page(study.name))
        title = words("cards.title", study=study.title)
        text = _page(title, title, words("cards.description", study=study.title), body, hide=("toc",))
        return SiteFile(page, text, in_menu=False, found_by=words("cards.about"))

    def _render(self, name: str, page: str, **values: object) -> str:
        return self.environment.get_template(f"{name}.html.jinja").render(study=self.pack, page=page, **values)

    def _shown(self, view: StudyView) -> dict[str, object]:
        """What the page of a view and its sheet have in common."""
        # A prompt that reads the same under several lightings stands in the page once.
        prompts: dict[Prompt, list[str]] = {}
        for name, shown in view.shown.items():
            for prompt in shown.prompts:
                prompts.setdefault(prompt, []).append(name)
        prompt_titles = {prompt.kind: prompt.title for prompt in prompts}
        opening_prompts = view.shown[view.opens_with].prompts
        return {
            "view": view,
            "where": where_words(view, self.words),
            "opening": opening_plate(view, view.opens_with),
            "kind_names": self.kinds,
            "lighting_options": [(name, shown.lighting.title) for name, shown in view.shown.items()],
            "groups": kind_groups(view, self.kinds, self.words),
            "offered": offered(view, self.kinds),
            "files": tuple(plate_files(view, self.kinds, self.words)),
            "beside": beside(view, self.kinds, self.words),
            "prompt_options": list(prompt_titles.items()),
            "prompts": [(lightings, prompt) for prompt, lightings in prompts.items()],
            "first_prompt": opening_prompts[0].kind if opening_prompts else "",
        }

    def _found_by(self, view: StudyView) -> str:
        prompts = view.shown[view.opens_with].prompts
        opening = f"{prompts[0].title}. {prompts[0].aim}" if prompts else ""
        return " ".join(part for part in (view.view.title, where_words(view, self.words), opening) if part)

    def _tile(self, view: StudyView, page: str) -> dict[str, object]:
        plate = opening_plate(view, view.opens_with)
        others = {
            name: [way(page, small.thumb_address or small.address), small.alt]
            for name in view.shown
            if (small := opening_plate(view, name))
        }
        opening = {
            "address": plate.thumb_address or plate.address,
            "alt": plate.alt,
            "width_px": plate.width_px,
            "height_px": plate.height_px,
        }
        pictures_json = json.dumps({"": others[view.opens_with], **others}, ensure_ascii=False)
        address = view_page(self.pack.study.name, view.view.number)
        return {"view": view, "address": address, "picture": opening, "pictures": pictures_json}


def _page(title: str, heading: str, description: str, body: str, *, hide: tuple[str, ...]) -> str:
    """A page's source: front matter (JSON values are YAML), a heading, and the body without blank lines.

    A blank line would end the block that Markdown leaves alone. The theme writes title and description into its HTML
    as they are, so they are escaped here.
    """
    front = {"title": escape(title), "description": escape(" ".join(description.split())), "hide": list(hide)}
    matter = "\n".join(f"{name}: {json.dumps(value, ensure_ascii=False)}" for name, value in front.items())
    packed = re.sub(r"\n\s*\n+", "\n", body.strip())
    return f"---\n{matter}\n---\n\n# {_plain(heading)}\n\n{packed}\n"


def _plain(text: str) -> str:
    """A line with nothing in it that Markdown or HTML would read as markup."""
    return re.sub(r"([\\`*_{}\[\]#])", r"\\\1", escape(text, quote=False))
