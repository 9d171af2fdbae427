"""Workbooks made by hand, part by part, for what no library would write."""

from __future__ import annotations

import io
import zipfile

import xlsxwriter

TYPES = '<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>'
RELS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LOG = (
    '<row r="1"><c r="A1" t="str"><v>time_s</v></c><c r="B1" t="str"><v>position</v></c>'
    '<c r="C1" t="str"><v>temp_c</v></c></row>'
    '<row r="2"><c r="A2"><v>0</v></c><c r="B2" t="str"><v>FL</v></c><c r="C2"><v>80.5</v></c></row>'
    '<row r="3"><c r="A3"><v>10</v></c><c r="B3" t="str"><v>FR</v></c><c r="C3"><v>81</v></c></row>'
)

WHEELS = ("FL", "FR", "RL", "RR")


def relations(*targets: tuple[str, str]) -> str:
    """Part that relates ``rId1``, ``rId2``... to parts of a kind."""
    rows = "".join(
        f'<Relationship Id="rId{k}" Type="{RELS}/{kind}" Target="{target}"/>'
        for k, (kind, target) in enumerate(targets, start=1)
    )
    return f'<Relationships xmlns="{PACKAGE}">{rows}</Relationships>'


def sheet(rows: str) -> str:
    """Part of one sheet."""
    return f'<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData></worksheet>'


def book(*sheets: str | bytes, head: str = "", targets: tuple[str, ...] = (), **parts: str | bytes) -> bytes:
    """A workbook of the sheets given as parts; `targets` in place of their own, `parts` beside them."""
    named = targets or tuple(f"worksheets/sheet{k}.xml" for k in range(1, len(sheets) + 1))
    shared = [(kind, f"{kind}.xml") for kind in ("sharedStrings", "styles") if kind in parts]
    listed = "".join(f'<sheet name="S{k}" sheetId="{k}" r:id="rId{k}"/>' for k in range(1, len(named) + 1))
    around = f'<workbook xmlns="{MAIN}" xmlns:r="{RELS}"><sheets>'
    every: dict[str, str | bytes] = {
        "[Content_Types].xml": TYPES,
        "_rels/.rels": relations(("officeDocument", "xl/workbook.xml")),
        "xl/workbook.xml": f"{head}{around}{listed}</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": relations(*(("worksheet", name) for name in named), *shared),
        **{f"xl/worksheets/sheet{k}.xml": content for k, content in enumerate(sheets, start=1)},
        **{f"xl/{name}.xml": content for name, content in parts.items()},
    }
    return packed(every)


def packed(parts: dict[str, str | bytes]) -> bytes:
    """A zip file of some parts."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return buffer.getvalue()


def written(
    sheets: dict[str, list[list[object]]], *, formats: dict[int, str] | None = None, **about
) -> bytes:
    """A workbook with named sheets; `formats` are number formats by column, `about` is hidden=(names)."""
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True}) as made:
        styles = {column: made.add_format({"num_format": code}) for column, code in (formats or {}).items()}
        for name, cells in sheets.items():
            page = made.add_worksheet(name)
            for k, row in enumerate(cells):
                for column, cell in enumerate(row):
                    style = styles.get(column) if k else None
                    page.write(k, column, cell, style) if style else page.write(k, column, cell)
            if name in about.get("hidden", ()):
                page.hide()
            if name in about.get("very_hidden", ()):
                page.very_hidden()
    return buffer.getvalue()
