"""The plan and side drawings as SVG, with their words and links."""

from __future__ import annotations

from jinja2 import Environment
from markupsafe import Markup

from builder.pack import LampPlace, StudyPack, StudyView
from builder.site.address import view_page, way
from builder.site.elevation import draw_elevation
from builder.site.plan import Plan, draw_plan
from builder.study.description import Lighting
from builder.table.tape import tape_cm
from builder.words.directions import along_mm, bearing_deg, centimetres, level_words, side_words
from builder.words.words import Words, number


def plan_svg(
    study: StudyPack,
    words: Words,
    environment: Environment,
    page: str,
    *,
    lighting: str | None = None,
    opening: str | None = None,
) -> Markup:
    """The plan of a study. With ``lighting``: its lamps alone. Else: the eyes, and every lighting's lamps to switch
    between, those of ``opening`` shown first.
    """
    names = [lighting] if lighting is not None else list(study.lamps)
    plan = draw_plan(study, names[0], with_eyes=lighting is None)
    groups = [(name if lighting is None else None, draw_plan(study, name, lighting is None).lamps) for name in names]
    desc = words("plan.desc_eyes") if lighting is None else _lamps_desc(study, lighting, words)
    text = environment.get_template("plan.svg.jinja").render(
        plan=plan,
        id=f"plan-{lighting or 'eyes'}",
        title=words("plan.title", study=study.study.title),
        desc=desc,
        lamp_groups=groups,
        opening=opening,
        links={view.view.number: way(page, view_page(study.study.name, view.view.number)) for view in study.views},
        names={view.view.number: _eye_words(view, words) for view in study.views},
        scale_words=_scale_words(plan, words),
    )
    return Markup(text)


def elevation_svg(study: StudyPack, words: Words, environment: Environment, lighting: Lighting) -> Markup:
    """The side drawing of a lighting."""
    side = draw_elevation(study, lighting.name)
    lamps = [
        words(
            "plan.side_lamp",
            role=words(f"lightings.{lamp.role}"),
            along=tape_cm(lamp.along_mm),
            height=tape_cm(lamp.above_mm),
        )
        for lamp in side.lamps
    ]
    text = environment.get_template("elevation.svg.jinja").render(
        side=side,
        id=f"side-{lighting.name}",
        title=words("plan.side_title", lighting=lighting.title),
        desc=words("plan.side_desc", lamps="; ".join(lamps)),
    )
    return Markup(text)


def _eye_words(view: StudyView, words: Words) -> str:
    bearing = side_words(words, "view.where_bearing_", view.view.bearing_deg)
    level = level_words(words, "view.where_", view.view.eye_level_deg)
    return words("plan.eye", number=view.view.number, place=f"{bearing}, {level}")


def _lamps_desc(study: StudyPack, lighting: str, words: Words) -> str:
    return words("plan.desc_lamps", lamps="; ".join(_lamp_words(lamp, words) for lamp in study.lamps[lighting]))


def _lamp_words(lamp: LampPlace, words: Words) -> str:
    place = side_words(words, "lightings.bearing_", bearing_deg(lamp.centre_mm[0], lamp.centre_mm[1]))
    along = tape_cm(along_mm(lamp.centre_mm))
    return words("plan.desc_lamp", role=words(f"lightings.{lamp.role}"), place=place, along=along)


def _scale_words(plan: Plan, words: Words) -> str:
    if plan.bar_mm >= 1000.0:
        return words("plan.scale_m", n=number(plan.bar_mm / 1000.0))
    return words("plan.scale", n=centimetres(plan.bar_mm))
