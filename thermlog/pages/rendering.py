"""View records -> pages, by templates with every text escaped. The base of all pages, and how it is used.

A page is a template that begins with ``{% extends "base.html" %}`` and fills the blocks ``header``, ``main``
and ``footer``. It gets one record as ``view`` (frozen, its texts made by `thermlog.reports` or wrapped by
`shown.seen`), and the base gives it:

- ``parts.sign(state)``, ``parts.badge(state, words)``, ``parts.plan(plan)``, ``parts.tick(words)``,
  ``parts.units(page.show)`` from ``parts.html``, where every state has word, sign and border
  (`planview.State`, `planview.STATE_WORDS`);
- the classes of ``base.css``: type ``t1``-``t5``, ``soft``, ``small``, ``num``, ``box``, ``scroll``,
  ``noprint``, ``onpaper``, the custom properties of scale and colour, and the print rules;
- ``{{ shown }}``: a `shown.Dual` writes itself in both units, and the switch ``parts.units`` chooses without
  script. Two drawings of one thing stand in elements of the classes ``c`` and ``f``.

Use::

    from thermlog.pages.rendering import PageSetup, render

    html = render("list.html", PageSetup(title="Depot", styles=("list.css",), scripts=("list.js",)), view)

Styles and scripts are files beside the template; the content policy names their hashes, so nothing else runs:
no ``style`` attributes, no ``on...`` attributes, no request. A room of its own gives its folder of templates
as ``PageSetup.folder``, which is read for each page; a page that talks to the server it came from sets
``PageSetup.connects``.
"""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.pages.planview import STATE_WORDS
from thermlog.reports.wording import Show
from thermlog.words.version import __version__

if TYPE_CHECKING:
    from collections.abc import Sequence

    from jinja2 import Environment

_TEMPLATES = Path(__file__).parent / "templates"


class PageSetup(Struct, frozen=True, kw_only=True):
    """What a page is beside its content.

    Attributes
    ----------
    title : str
        Of the window.
    styles, scripts : tuple of str
        Files beside the templates, after ``base.css`` and ``base.js``.
    show : {"C", "F"}
        The unit that is chosen when the page is opened.
    folder : Path or None
        Templates, styles and scripts of another room; the base is found from there too.
    connects : bool
        True if its script talks to the server that the page came from; else nothing can be asked for.
    """

    title: str
    styles: tuple[str, ...] = ()
    scripts: tuple[str, ...] = ()
    show: Show = "C"
    folder: Path | None = None
    connects: bool = False


class Frame(Struct, frozen=True, kw_only=True):
    """What the base template needs: the texts of style and script, and the policy that names their hashes."""

    title: str
    show: Show
    style: str
    script: str
    policy: str
    version: str = __version__


def render(template: str, sheet: PageSetup, view: object) -> str:
    """A page as HTML, the same letters for the same input.

    Parameters
    ----------
    template : str
        Name of the file.
    sheet : PageSetup
    view : record
        What the template shows; a name it does not have is an error.

    Returns
    -------
    str
    """
    page = _environment(sheet.folder).get_template(template).render(page=_frame(sheet), view=view)
    return "\n".join(line.rstrip() for line in page.splitlines() if line.strip()) + "\n"


def _environment(folder: Path | None) -> Environment:
    """Templates of this room, and of another before them."""
    if folder is None:
        return _own_environment()
    from jinja2 import FileSystemLoader

    return _own_environment().overlay(loader=FileSystemLoader([folder, _TEMPLATES]))


@cache
def _own_environment() -> Environment:
    """Templates that are part of this room; texts are escaped, every name must exist."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    made = Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals["state_words"] = STATE_WORDS
    made.globals["parts"] = made.get_template("parts.html").module
    return made


def _frame(sheet: PageSetup) -> Frame:
    style = _text(sheet.folder, ("base.css", *sheet.styles))
    script = _text(sheet.folder, ("base.js", *sheet.scripts))
    allowed = (
        "default-src 'none'",
        f"style-src {_hash(style)}",
        f"script-src {_hash(script)}",
        "img-src data:",
        *(["connect-src 'self'"] if sheet.connects else []),
        "base-uri 'none'",
        "form-action 'none'",
    )
    return Frame(title=sheet.title, show=sheet.show, style=style, script=script, policy="; ".join(allowed))


def _text(folder: Path | None, names: Sequence[str]) -> str:
    """Files one after another, of the other room or of this one."""
    texts = []
    for name in names:
        other = None if folder is None else folder / name
        texts.append(_own_text(name) if other is None or not other.is_file() else _squeezed(other))
    return "\n".join(texts)


@cache
def _own_text(name: str) -> str:
    """A style or a script that is part of this room."""
    return _squeezed(_TEMPLATES / name)


def _squeezed(file: Path) -> str:
    """Its lines without what is empty in them."""
    lines = file.read_text(encoding="utf-8").strip().splitlines()
    return "\n".join(line.rstrip() for line in lines if line.strip())


def _hash(text: str) -> str:
    digest = hashlib.sha256(text.encode()).digest()
    return f"'sha256-{base64.b64encode(digest).decode()}'"
