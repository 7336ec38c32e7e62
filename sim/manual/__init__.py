"""The manual: short pages of plain Markdown beside this module, one a question, in the order of `index.md`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from importlib.resources import files

from sim.base.errors import ChuckSceneError
from sim.base.limits import table_rows
from sim.base.scope import table

INDEX = "index"
SCOPE = "<!-- scope -->"  # where the list of what has no model stands
LIMITS = "<!-- limits -->"  # where the sizes and counts stand that are taken
LINK = re.compile(r"\[(?P<words>[^\]]+)\]\((?P<page>[a-z]+)\.md\)")  # to another page
_ITEM = re.compile(r"- \[(?P<name>[a-z]+)\]\((?P=name)\.md\): (?P<summary>.+)")
_COMMENT = re.compile(r"<!--.*?-->\n?", re.DOTALL)  # marks for those who write the pages


@dataclass(frozen=True, slots=True)
class Page:
    """One page.

    Attributes
    ----------
    name : str
        As it is asked for; also its file's name.
    title : str
        Its heading.
    summary : str
        The question that it answers, one line of the index.
    group : str
        Heading of the index under which it stands.
    text : str
        Markdown, its heading included.
    """

    name: str
    title: str
    summary: str
    group: str
    text: str


def text_of(name: str) -> str:
    """Return a page's Markdown, by the name of its file without ending."""
    text = files(__name__).joinpath(f"{name}.md").read_text(encoding="utf-8")
    if SCOPE in text:
        text = text.replace(SCOPE, table())
    if LIMITS in text:
        text = text.replace(LIMITS, "\n".join(table_rows()))
    return _COMMENT.sub("", text)


def picture(name: str) -> bytes:
    """Return a picture that stands in a page (WebP), by the name of its file."""
    return files(__name__).joinpath(name).read_bytes()


def pages() -> tuple[Page, ...]:
    """Return all pages but the index, in its order."""
    found, group = [], ""
    for line in text_of(INDEX).splitlines():
        if line.startswith("## "):
            group = line.removeprefix("## ")
        elif item := _ITEM.fullmatch(line):
            text = text_of(item["name"])
            title = text.partition("\n")[0].removeprefix("# ")
            found.append(Page(item["name"], title, item["summary"], group, text))
    return tuple(found)


def page(name: str) -> Page:
    """Return one page.

    Raises
    ------
    ChuckSceneError
        If there is none of that name; the sentence names all.
    """
    every = pages()
    for one in every:
        if one.name == name:
            return one
    raise ChuckSceneError(f"the manual has no page '{name}'; it has {', '.join(one.name for one in every)}")
