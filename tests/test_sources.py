"""docs/sources.md: every work cited anywhere stands there, and every entry says how far it was checked.

Works are found by the shapes of a citation: number of a standard, two authors, "et al.", a name with a year,
and the surnames that sources.md itself lists alone. A lone surname never listed cannot be told from any
other word, and is not found.
"""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
SOURCES = (ROOT / "docs" / "sources.md").read_text(encoding="utf-8")
NAME = r"[A-ZÇÖ][a-zçö]+"
STANDARD = re.compile(
    r"\b(?:ISO \d+|(?<=ASTM )E\d+|E(?:1862|1933|2758)\b|IEC TS \d+|EN \d{4}|JCGM \d+|IAPWS-IF97"
    r"|NIST SP \d+|NIST Statistical|RFC \d+|SPIE \d+|SAE J\d+|WY-\d+\w|Grade Severity Rating System"
    r"|UN Regulation No\. \d+|FMVSS \d+|\d+ CFR \d+)"
)
AUTHORS = re.compile(
    rf"\b({NAME}) & {NAME}\b|\b({NAME})\s+and\s+{NAME}, \*|\b({NAME}) et al\b|\b({NAME}) \(?(?:19|20)\d\d\b"
)
ALONE = (
    "Bramson",
    "Dorfman",
    "Fieller",
    "Holman",
    "Hottel",
    "Kreith",
    "Limpert",
    "McAdams",
    "Wolfe",
    "Öhman",
)
# What stands before a year without being an author: months, last words of titles, a publisher.
NO_AUTHORS = {
    *("Functions", "Handbook", "Wiley"),
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
    *("Januar", "Februar", "Mai", "Juni", "Juli", "Oktober", "Dezember"),  # German ones of dates in logs
    *("Jan", "Feb", "Mar", "Apr", "Jun", "Jul", "Aug", "Sep", "Sept", "Oct", "Nov", "Dec"),
}


def citing_files():
    """Documents, data and code in which a work may be cited."""
    files = [ROOT / "README.md", *(ROOT / "docs").glob("*.md"), *(ROOT / "thermlog").rglob("*.toml")]
    files += [path for folder in ("thermlog", "tests", "bench") for path in (ROOT / folder).rglob("*.py")]
    return [path for path in files if path.name not in {"sources.md", Path(__file__).name}]


def works_cited(text):
    """Keys of works: a standard's number, or the first author's surname."""
    authors = {name for found in AUTHORS.findall(text) for name in found if name} - NO_AUTHORS
    alone = {name for name in ALONE if re.search(rf"\b{name}\b", text)}
    return set(STANDARD.findall(text)) | authors | alone


def rows():
    """Cells of every entry of the page."""
    lines = [line for line in SOURCES.splitlines() if line.startswith("| ")]
    return [
        [cell.strip() for cell in line.strip("|").split("|")] for line in lines if "| label |" not in line
    ]


def unlisted(text):
    """Works cited in a text that sources.md does not name."""
    return sorted(key for key in works_cited(text) if not re.search(rf"\b{re.escape(key)}\b", SOURCES))


def test_every_work_cited_stands_in_the_sources():
    """No document, table, docstring or test cites a work the page does not list."""
    found = {
        str(path.relative_to(ROOT)): unlisted(path.read_text(encoding="utf-8")) for path in citing_files()
    }
    missing = {name: works for name, works in found.items() if works}

    assert missing == {}


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("measured by Castor & Pollux", "Castor"),
        ("Castor and\nPollux, *Twins*", "Castor"),
        ("Castor et al. found", "Castor"),
        ("as in Castor (1999)", "Castor"),
        ("limits of ISO 99999", "ISO 99999"),
        ("UN Regulation No. 99, annex 1", "UN Regulation No. 99"),
        ("film after Kreith", "Kreith"),
    ],
)
def test_shapes_of_a_citation_are_found(text, key):
    """Invented works: the search can find what is missing."""
    assert key in works_cited(text)
    assert (key in unlisted(text)) == (key != "Kreith")


def test_works_to_be_found_are_many():
    """The search finds works at all: 30 keys and more stand in documents, tables and code."""
    cited = set().union(*(works_cited(path.read_text(encoding="utf-8")) for path in citing_files()))

    assert len(cited) >= 30
    assert set(ALONE) <= cited


@pytest.mark.parametrize("row", rows(), ids=lambda row: row[0][:40])
def test_every_entry_says_how_far_it_was_checked(row):
    """Three cells, and one of the two labels of the page in front."""
    _work, use, label = row
    assert use
    assert re.match(r"read\b|from memory, not checked\b", label)
    assert label.count("from memory") == label.count("from memory, not checked")


def test_edition_of_the_guide_to_infrared_thermometers_is_one():
    """Published: ASTM E2758-22 bears this title, without the "wideband, low temperature" of older ones."""
    texts = {
        path.name: path.read_text(encoding="utf-8")
        for path in [*citing_files(), ROOT / "docs" / "sources.md"]
    }
    cited = {found for text in texts.values() for found in re.findall(r"E2758[^ ,;.)]*", text)}

    assert cited == {"E2758-22"}
    assert "ASTM E2758-22, Standard Guide for Selection and Use of Infrared Thermometers" in SOURCES
