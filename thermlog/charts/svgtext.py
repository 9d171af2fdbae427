"""From the SVG that matplotlib writes to one that can stand in a page beside others.

Matplotlib's file speaks to a viewer of files: ids that repeat in every file, a style sheet for everything,
style attributes that a strict content policy forbids. Here ids get a prefix, styles become attributes,
numbers lose digits nobody sees, text stays text.
"""

from __future__ import annotations

import re
from hashlib import sha256
from xml.etree import ElementTree as ET

_SVG, _XLINK = "http://www.w3.org/2000/svg", "{http://www.w3.org/1999/xlink}"
_FAMILY = "'DejaVu Sans', Verdana, sans-serif"
_FONT = re.compile(r"(?:(?P<weight>bold|\d{3}) )?(?P<size>[\d.]+)px .*")
_NUMBER = re.compile(r"-?\d+\.\d{3,}")
_NUMERIC = ("d", "x", "y", "transform", "width", "height", "stroke-width", "font-size", "viewBox")
_REFERENCE = re.compile(r"url\(#([^)]+)\)")
_PAGE_ATTRIBUTES = ("role", "direction", "font-family", "stroke-linejoin", "stroke-linecap")


def page_svg(svg: bytes, *, title: str, description: str, key: str, sized: bool) -> str:
    """One drawing as text that can be put into a page.

    Parameters
    ----------
    svg : bytes
        As matplotlib writes it, with text as text.
    title, description : str
        For those who cannot see it.
    key : str
        Start of every id; without it one made of the drawing itself, so that two unlike drawings never share
        an id.
    sized : bool
        With width and height, for a file of its own; else as wide as its place in the page.

    Returns
    -------
    str
        An ``<svg>`` element without XML declaration. The same drawing gives the same text.
    """
    root = ET.fromstring(svg)  # noqa: S314 (written by matplotlib a moment ago)
    key = key or f"d{sha256(svg).hexdigest()[:10]}"
    _drop_file_matters(root)
    for element in root.iter():
        _plain_attributes(element)
    _flatten(root)
    _rename(root, key)
    _introduce(root, key, title, description, sized=sized)
    ET.register_namespace("", _SVG)
    return ET.tostring(root, encoding="unicode")


def _drop_file_matters(root: ET.Element) -> None:
    """Metadata, the style sheet for everything, and room between the lines."""
    for child in list(root):
        style = child.find(f"{{{_SVG}}}style")
        if child.tag.endswith("metadata") or style is not None:
            root.remove(child)
    for element in root.iter():
        if element.text and not element.text.strip() and not element.tag.endswith("}text"):
            element.text = None
        element.tail = None


def _plain_attributes(element: ET.Element) -> None:
    """Styles as attributes, links without a namespace of their own, short numbers."""
    for part in filter(None, element.attrib.pop("style", "").split("; ")):
        name, _, value = part.partition(": ")
        element.attrib |= _font(value) if name == "font" else {name: value.removesuffix("px")}
    element.attrib.pop("font-family", None)
    link = element.attrib.pop(f"{_XLINK}href", None)
    if link is not None:
        element.set("href", link)
    for name in _NUMERIC:
        if name in element.attrib:
            element.set(name, _NUMBER.sub(_shortened, " ".join(element.attrib[name].split())))
    turn = re.fullmatch(r"rotate\(-?0 .*\)", element.get("transform", ""))
    if turn:
        del element.attrib["transform"]


def _font(value: str) -> dict[str, str]:
    found = _FONT.fullmatch(value)
    if found is None:
        return {}
    weight = {} if found["weight"] in (None, "400") else {"font-weight": found["weight"]}
    return {"font-size": found["size"], **weight}


def _shortened(number: re.Match[str]) -> str:
    short = f"{float(number[0]):.2f}".rstrip("0").rstrip(".")
    return "0" if short == "-0" else short


def _referenced(root: ET.Element) -> set[str]:
    links = {element.get("href", "")[1:] for element in root.iter()}
    inside = {
        name
        for element in root.iter()
        for value in element.attrib.values()
        for name in _REFERENCE.findall(value)
    }
    return links | inside


def _flatten(root: ET.Element) -> None:
    """Drop ids that nobody refers to and nobody named, then groups that hold nothing together."""
    kept = _referenced(root)
    for element in root.iter():
        name = element.get("id")
        if name is not None and name not in kept and not name.startswith("say-"):
            del element.attrib["id"]
    for parent in root.iter():
        children: list[ET.Element] = []
        for child in parent:
            children += _unwrapped(child)
        parent[:] = children


def _unwrapped(element: ET.Element) -> list[ET.Element]:
    if not element.tag.endswith("}g") or element.attrib:
        return [element]
    return [inner for child in element for inner in _unwrapped(child)]


def _rename(root: ET.Element, key: str) -> None:
    """Give every id the prefix, and every reference with it."""
    names = {
        element.attrib["id"]: f"{key}-{element.attrib['id'].removeprefix('say-')}"
        if element.attrib["id"].startswith("say-")
        else f"{key}-{n}"
        for n, element in enumerate(root.iter())
        if "id" in element.attrib
    }
    for element in root.iter():
        for name, value in element.attrib.items():
            if name == "id":
                element.set(name, names[value])
            elif name == "href":
                element.set(name, f"#{names[value[1:]]}")
            elif "url(#" in value:
                element.set(name, _REFERENCE.sub(lambda found: f"url(#{names[found[1]]})", value))


def _introduce(root: ET.Element, key: str, title: str, description: str, *, sized: bool) -> None:
    """What the picture is, for a screen reader; its own direction, whatever that of the page."""
    root.attrib.pop("version", None)
    wide, high = root.attrib.pop("width", ""), root.attrib.pop("height", "")
    if sized:
        root.attrib |= {"width": wide, "height": high}
    values = ("img", "ltr", _FAMILY, "round", "butt")
    root.attrib |= dict(zip(_PAGE_ATTRIBUTES, values, strict=True))
    root.attrib |= {"aria-labelledby": f"{key}-title", "aria-describedby": f"{key}-desc"}
    for place, (tag, text) in enumerate((("title", title), ("desc", description))):
        told = ET.Element(f"{{{_SVG}}}{tag}", {"id": f"{key}-{tag}"})
        told.text = text
        root.insert(place, told)
