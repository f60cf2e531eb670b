"""The MkDocs plug-in: hands the generated pages and pictures to MkDocs, and keeps every page to itself.

Thin on purpose: what the pages say is made in :mod:`builder.site.pages` and knows nothing of MkDocs.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from html import escape
from importlib import resources
from pathlib import Path
from typing import Any

from mkdocs.config import config_options as option
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, CombinedEvent, event_priority
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page
from mkdocs.utils.meta import get_data
from mkdocs.utils.templates import TemplateContext

from builder.errors import CastwalkError, Problem, SiteError
from builder.pack import Pack
from builder.plates.registry import KINDS
from builder.site.about import about_pages
from builder.site.address import study_page
from builder.site.facts_file import facts_files
from builder.site.links import rewrite_links
from builder.site.pages import SiteFile, site_files, studies_list
from builder.site.policy import with_policy
from builder.words.words import FIRST_LANGUAGE, Words, load_words

HOME = "index.md"
CARE = "safety.md"
"""The tutor's own page of cautions, if there is one."""
ASSETS = "assets/castwalk"
STYLES = ("fonts", "greys", "frame", "text", "parts", "home", "study", "drawings", "lamps", "outlines", "view")
"""Style sheets of every page, the general before the particular."""


class CastwalkOptions(Config):  # type: ignore[no-untyped-call]
    """What mkdocs.yml may say under ``castwalk``; folders are relative to mkdocs.yml."""

    models = option.Dir(default="models")
    store = option.Dir(default=".castwalk")
    language = option.Type(str, default=FIRST_LANGUAGE)


class CastwalkPlugin(BasePlugin[CastwalkOptions]):  # type: ignore[no-untyped-call]
    """Adds the studies of a project to its MkDocs site."""

    pack: Pack | None = None
    """The pack to show. Set by ``castwalk build``; otherwise built when MkDocs collects its files."""
    _words: Words
    _shown: Pack
    _found_by: dict[str, str]
    _content: str | None

    # Before the offline and search plug-ins read the configuration.
    @event_priority(100)
    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Set the theme to what the pages rely on: own fonts and greys, and no file from elsewhere."""
        with told():
            self._words = load_words(self.config.language)
        config.use_directory_urls = False
        theme = config.theme
        theme["font"] = False
        theme["palette"] = _palette(self._words)
        theme["favicon"] = theme["logo"] = f"{ASSETS}/mark.svg"
        if self.config.language != FIRST_LANGUAGE:
            theme["language"] = self.config.language
        # The theme would fetch its own stand-in for workers from elsewhere; this name keeps it from doing so.
        config.extra["polyfills"] = [*config.extra.get("polyfills", []), f"{ASSETS}/iframe-worker.js"]
        config.extra["generator"] = False
        config.extra_css += [f"{ASSETS}/{name}.css" for name in STYLES]
        config.extra_javascript.append(f"{ASSETS}/castwalk.js")
        if "attr_list" not in config.markdown_extensions:
            config.markdown_extensions.append("attr_list")
        # A table column set right would else be written as a style, which the policy forbids.
        config.mdx_configs.setdefault("tables", {})["use_align_attribute"] = True
        config.watch.append(self.config.models)
        return config

    def on_files(self, files: Files, config: MkDocsConfig) -> Files:
        """Add the generated files, and check the links of every page before any is made."""
        pack = self.pack if self.pack is not None else _built(self.config, config)
        self._shown = pack
        with told():
            care = CARE if files.get_file_from_path(CARE) else ""
            kinds = {kind.name: kind for kind in KINDS}
            pages = site_files(pack, self._words, kinds, care, about_pages(_matters(files, config), kinds))
            generated = [*pages, *facts_files(pack), *_assets()]
            _check(files, pack, config)
        if files.get_file_from_path(HOME) is None:
            generated.append(SiteFile(HOME, f"# {config.site_name}\n{studies_list(pack, self._words)}"))
        self._found_by = {each.address: each.found_by for each in generated if each.address.startswith("studies/")}
        for each in generated:
            taken = files.get_file_from_path(each.address)
            if taken is not None:
                files.remove(taken)
            files.append(_as_file(each, config))
        if config.nav and not any("studies/" in str(entry) for entry in config.nav):
            menu = [study_page(study.study.name) for study in pack.studies]
            config.nav = [*config.nav, {self._words("site.studies"): menu}]
        return files

    def on_nav(self, nav: Navigation, config: MkDocsConfig, files: Files) -> Navigation:
        """In a menu made from folders, put each study's page in the place of its folder."""
        for page in nav.pages:
            folder = page.parent
            if page.file.src_uri in self._found_by and folder is not None and folder.children == [page]:
                around = folder.parent.children if folder.parent is not None else nav.items
                around[around.index(folder)] = page
                page.parent = folder.parent
        return nav

    def on_page_markdown(self, markdown: str, page: Page, config: MkDocsConfig, files: Files) -> str:
        """Resolve links to views, and list the studies on the home page."""
        if page.file.generated_by is not None:
            return markdown
        with told():
            markdown = rewrite_links(markdown, self._shown, page.file.src_uri, _place(page.file, config))
        if page.file.src_uri == HOME:
            markdown += studies_list(self._shown, self._words)
        return markdown

    # The search sees a short text in place of a generated page's content: MkDocs' plug-ins offer no other way in.
    @event_priority(100)
    def _show_to_search(self, context: TemplateContext, page: Page, config: MkDocsConfig, nav: Navigation) -> None:
        found_by = self._found_by.get(page.file.src_uri)
        if found_by is None:
            return
        self._content = page.content
        page.content = f'<h1 id="top">{page.title}</h1>\n<p>{escape(found_by)}</p>'
        if not found_by:
            page.meta["search"] = {"exclude": True}

    @event_priority(-200)
    def _show_to_reader(self, context: TemplateContext, page: Page, config: MkDocsConfig, nav: Navigation) -> None:
        if page.file.src_uri in self._found_by:
            page.content = self._content

    on_page_context = CombinedEvent(_show_to_search, _show_to_reader)

    # After every other plug-in, so that the hashes are those of what is written.
    @event_priority(-200)
    def on_post_page(self, output: str, page: Page, config: MkDocsConfig) -> str:
        """Name the search panel for screen readers, and add the policy."""
        return self._finished(output)

    @event_priority(-200)
    def on_post_template(self, output_content: str, template_name: str, config: MkDocsConfig) -> str:
        """The same for the page that is shown when an address is not found."""
        return self._finished(output_content) if template_name.endswith(".html") else output_content

    def on_post_build(self, config: MkDocsConfig) -> None:
        """Drop the maps that only serve the theme's makers."""
        for path in sorted(Path(config.site_dir).rglob("*.map")):
            path.unlink()

    def _finished(self, page: str) -> str:
        bare = 'data-md-component="search" role="dialog"'
        return with_policy(page.replace(bare, f'{bare} aria-label="{self._words("site.search")}"', 1))


@contextmanager
def told() -> Iterator[None]:
    """Turn our errors into the one MkDocs shows without a traceback."""
    try:
        yield
    except CastwalkError as error:
        raise PluginError("\n".join(problem.sentence() for problem in error.problems)) from error


def _built(options: CastwalkOptions, config: MkDocsConfig) -> Pack:
    """The pack of the project around mkdocs.yml, from the store as far as it is there."""
    from builder.build import pack_of

    project = Path(config.config_file_path).parent
    with told():
        return pack_of(project, Path(config.docs_dir), Path(options.models), Path(options.store), options.language)


def _check(files: Files, pack: Pack, config: MkDocsConfig) -> None:
    problems: list[Problem] = []
    for file in files.documentation_pages():
        if file.generated_by is None:
            try:
                rewrite_links(file.content_string, pack, file.src_uri, _place(file, config))
            except SiteError as error:
                problems += error.problems
    if problems:
        raise SiteError(problems)


def _matters(files: Files, config: MkDocsConfig) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Address, place and front matter of every page of the tutor's."""
    for file in files.documentation_pages():
        if file.generated_by is None:
            yield file.src_uri, _place(file, config), get_data(file.content_string)[1]


def _place(file: File, config: MkDocsConfig) -> str:
    """A page's file as the tutor knows it: from the project's folder on."""
    return f"{Path(config.docs_dir).name}/{file.src_uri}"


def _as_file(each: SiteFile, config: MkDocsConfig) -> File:
    level = InclusionLevel.INCLUDED if each.in_menu else InclusionLevel.NOT_IN_NAV
    if isinstance(each.content, Path):
        return File.generated(config, each.address, abs_src_path=str(each.content), inclusion=level)
    return File.generated(config, each.address, content=each.content, inclusion=level)


def _assets() -> Iterator[SiteFile]:
    with resources.as_file(resources.files("builder.site") / "assets") as folder:
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                yield SiteFile(f"{ASSETS}/{path.relative_to(folder).as_posix()}", path.read_bytes())


def _palette(words: Words) -> list[dict[str, Any]]:
    """The light and the dark grey ground; the one that suits the system's setting is taken first."""
    return [
        {
            "media": f"(prefers-color-scheme: {ground})",
            "scheme": scheme,
            "primary": "custom",
            "accent": "custom",
            "toggle": {"icon": icon, "name": words(f"site.to_{other}_ground")},
        }
        for ground, scheme, icon, other in (
            ("light", "default", "material/circle", "dark"),
            ("dark", "slate", "material/circle-outline", "light"),
        )
    ]
