"""Workbooks made to break a reader: none ends the process, takes long, or more than the memory stated.

Every file is made here. Each is read in a process whose memory is limited to what it has after loading the
reader plus `STATED_BYTES`: a reader that took more would die of it.
"""

from __future__ import annotations

import io
import random
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from bookparts import LOG, MAIN, book, packed, sheet
from readcases import PLAIN, outcome, read, rows

from thermlog.reading.gathered import LogReadings
from thermlog.reading.read import read_logs
from thermlog.words.errors import LogRefusedError

STATED_BYTES = 256 * 1024**2  # docs/log-format.md, "Speed and size"
LONGEST_S = 60.0
READER = f"""
import resource, sys
from thermlog.reading.read import read_log
from thermlog.reading.files import workbook
from thermlog.reading import sheetlogs
from thermlog.words.errors import LogRefusedError
pages = int(open("/proc/self/statm").read().split()[0])
most = pages * resource.getpagesize() + {STATED_BYTES}
resource.setrlimit(resource.RLIMIT_AS, (most, most))
try:
    found = read_log(sys.argv[1])
    print("read", found.record.rows_used, *found.record.notes, sep="|")
except LogRefusedError as refusal:
    print("refused", refusal, sep="|")
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024, "MiB", file=sys.stderr)
"""
ROW = '<row><c><v>1</v></c><c t="str"><v>FL</v></c><c><v>80</v></c></row>'
LAUGHS = (
    '<!DOCTYPE x [<!ENTITY a "ha">'
    + "".join(f'<!ENTITY {new} "{f"&{old};" * 10}">' for old, new in zip("abcdefgh", "bcdefghi", strict=True))
    + "]>"
)
OUTSIDE = '<!DOCTYPE x [<!ENTITY i SYSTEM "file:///etc/hostname">]>'


def limited(content: bytes) -> str:
    """What the reader says of a workbook, in a process of limited memory."""
    Path("attack.xlsx").write_bytes(content)
    done = subprocess.run(
        [sys.executable, "-c", READER, "attack.xlsx"],
        capture_output=True,
        text=True,
        timeout=LONGEST_S,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout.strip()


def poured(
    name: str, piece: str, times: int, *, head: str = "", tail: str = "", into: bytes | None = None
) -> bytes:
    """A workbook with one part made of many times the same piece, packed as it is made."""
    buffer = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(into or book(sheet(LOG)))) as plain,
        zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive,
    ):
        for entry in plain.infolist():
            if entry.filename != name:
                archive.writestr(entry.filename, plain.read(entry))
        with archive.open(name, "w", force_zip64=True) as part:
            part.write(head.encode())
            block = (piece * 1000).encode()
            for _ in range(times // 1000):
                part.write(block)
            part.write(tail.encode())
    return buffer.getvalue()


PAGE = "xl/worksheets/sheet1.xml"
OPEN, CLOSE = f'<worksheet xmlns="{MAIN}"><sheetData>', "</sheetData></worksheet>"


def far_cell() -> bytes:
    return book(sheet(LOG + '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'))


def far_cells_in_every_row() -> bytes:
    return book(sheet("".join(f'<row r="{k}"><c r="XFD{k}"><v>1</v></c></row>' for k in range(1, 20_000))))


def twenty_tall_sheets() -> bytes:
    return book(*[sheet((ROW + " " * 300) * 10_000)] * 20)


def twenty_sheets_of_nothing_but_a_last_row() -> bytes:
    return book(*[sheet('<row r="1048576"><c r="A1048576"><v>1</v></c></row>')] * 20)


def twenty_sheets_just_below_the_limit() -> bytes:
    return book(sheet(LOG), *[sheet('<row r="499999"><c r="A499999"><v>1</v></c></row>')] * 20)


def five_hundred_names_for_one_sheet() -> bytes:
    return book(sheet((ROW + " " * 300) * 1_000), targets=("worksheets/sheet1.xml",) * 500)


def zip_bomb() -> bytes:
    return poured(PAGE, " " * 1000, 1_000_000, head=OPEN, tail=CLOSE)


def zip_bomb_of_text() -> bytes:
    return poured(PAGE, "x" * 1000, 200_000, head=f"{OPEN}<row><c t='str'><v>", tail="</v></c></row>" + CLOSE)


def zip_bomb_in_the_texts() -> bytes:
    page = book(sheet(LOG), sharedStrings=f'<sst xmlns="{MAIN}"/>')
    return poured(
        "xl/sharedStrings.xml",
        "<si><t>some text</t></si>",
        4_000_000,
        head=f'<sst xmlns="{MAIN}">',
        tail="</sst>",
        into=page,
    )


def zip_bomb_that_lies_about_its_size() -> bytes:
    content = bytearray(zip_bomb())
    at = content.rfind(b"PK\x01\x02")  # entry of the part written last, in the list of parts
    content[at + 24 : at + 28] = (1000).to_bytes(4, "little")
    return bytes(content)


def hundred_thousand_parts() -> bytes:
    return packed({f"x/{k}": b"" for k in range(100_000)})


def million_elements_within_each_other() -> bytes:
    return poured(PAGE, "<a>", 5_000_000, head=OPEN)


def tag_of_a_million_attributes() -> bytes:
    many = " ".join(f'a{k}="1"' for k in range(1_000_000))
    return book(sheet(f"<row><c {many}><v>1</v></c></row>"))


def tag_that_never_ends() -> bytes:
    return poured(PAGE, "x" * 1000, 30_000, head=f'{OPEN}<row r="')


def one_long_text_in_every_cell() -> bytes:
    texts = f'<sst xmlns="{MAIN}"><si><t>{"x" * 32_767}</t></si></sst>'
    return book(sheet('<row><c t="s"><v>0</v></c></row>' * 100_000), sharedStrings=texts)


def rows_of_one_cell() -> bytes:
    return book(sheet("<row><c><v>17</v></c></row>" * 499_999))


def merged_over_and_over() -> bytes:
    merged = '<mergeCell ref="A1:A400000"/>' * 20_000
    last = '<row r="1"><c t="str"><v>x</v></c></row><row r="400000"><c><v>1</v></c></row>'
    return book(sheet(last).replace("</worksheet>", f"<mergeCells>{merged}</mergeCells></worksheet>"))


def as_many_readings_as_a_sheet_may_hold() -> bytes:
    names = "".join(f'<c t="str"><v>{name}</v></c>' for name in ("time_s", "position", "temp_c"))
    body = "".join(
        f'<row><c><v>{k}</v></c><c t="str"><v>{("FL", "FR")[k % 2]}</v></c><c><v>{80 + k % 7}.5</v></c></row>'
        for k in range(166_000)
    )
    return book(sheet(f"<row>{names}</row>{body}"))


ATTACKS = {
    far_cell: "refused|.*reaches to column XFD and row 1048576",
    far_cells_in_every_row: "refused|.*reaches to column XFD and row 31",
    twenty_tall_sheets: "refused|.*unpacks to over 32 MiB",
    twenty_sheets_of_nothing_but_a_last_row: "refused|.*reaches to column A and row 1048576",
    twenty_sheets_just_below_the_limit: 'read|2|sheet "S2" passed over',
    five_hundred_names_for_one_sheet: "refused|.*unpacks to over 32 MiB",
    zip_bomb: "refused|.*unpacks to over 32 MiB",
    zip_bomb_of_text: "refused|.*",
    zip_bomb_in_the_texts: "refused|.*unpacks to over 32 MiB",
    zip_bomb_that_lies_about_its_size: "refused|.*",
    hundred_thousand_parts: "refused|.*holds over 5000 parts",
    million_elements_within_each_other: "refused|.*elements over 64 deep",
    tag_of_a_million_attributes: "refused|.*a tag of over 2 MiB",
    tag_that_never_ends: "refused|.*a tag of over 2 MiB",
    one_long_text_in_every_cell: "refused|.*16 million letters",
    rows_of_one_cell: "refused|.*no column of temperatures",
    merged_over_and_over: "refused|.*no column of temperatures",
    as_many_readings_as_a_sheet_may_hold: "read|166000",
}


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="the memory of a process is told by Linux")
@pytest.mark.parametrize("attack", ATTACKS, ids=lambda attack: attack.__name__)
def test_no_workbook_takes_more_than_the_stated_memory(attack):
    kind, _, said = ATTACKS[attack].partition("|")
    found = limited(attack())

    assert found.startswith(kind)
    assert said.removeprefix(".*").split("|")[0] in found


@pytest.mark.parametrize("declared", [LAUGHS, OUTSIDE], ids=["expanding", "outside"])
@pytest.mark.parametrize("part", ["sheet", "overview", "texts", "utf-16"])
def test_entities_are_never_expanded(declared, part):
    page = f"{declared}{sheet(LOG.replace('FL', '&i;'))}"
    made = {
        "sheet": lambda: book(page),
        "overview": lambda: book(sheet(LOG), head=declared),
        "texts": lambda: book(
            sheet(LOG), sharedStrings=f'{declared}<sst xmlns="{MAIN}"><si><t>&i;</t></si></sst>'
        ),
        "utf-16": lambda: book(f'<?xml version="1.0" encoding="UTF-16"?>{page}'.encode("utf-16")),
    }[part]()
    with pytest.raises(LogRefusedError, match="declares entities"):
        read(made)


@pytest.mark.parametrize(
    "reference",
    [
        "",
        "A",
        "0",
        "A0",
        "0A",
        "1A",
        "a4",
        "AAAA4",
        "XFE4",
        "A5",
        "A1048577",
        "A99999999999",
        "R4C1",
        "A-4",
        "A٤",
        "$A$4",
    ],
)
def test_a_malformed_reference_is_refused_by_row(reference):
    with pytest.raises(LogRefusedError) as refusal:
        read(book(sheet(f'{LOG}<row r="4"><c r="{reference}"><v>1</v></c></row>')))
    assert refusal.value.line == 4
    assert "save the workbook again" in str(refusal.value)


@pytest.mark.parametrize("number", ["", "0", "-1", "1e3", "3", "1", "1048577", "99999999999", "٤", "4.0"])
def test_a_malformed_row_is_refused(number):
    with pytest.raises(LogRefusedError, match="save the workbook again"):
        read(book(sheet(f'{LOG}<row r="{number}"><c><v>1</v></c></row>')))


@pytest.mark.parametrize("cell", ['<c r="A4"/><c r="A4"><v>1</v></c>', '<c r="B4"/><c r="A4"><v>1</v></c>'])
def test_cells_out_of_order_are_refused_and_never_lost(cell):
    with pytest.raises(LogRefusedError, match="out of order"):
        read(book(sheet(f'{LOG}<row r="4">{cell}</row>')))


@pytest.mark.parametrize("index", ["7", "-1", "x", "99999999999999999999", "1.0", "٤"])
def test_a_text_that_is_not_there_is_refused(index):
    with pytest.raises(LogRefusedError, match="does not hold"):
        read(book(sheet(f'{LOG}<row r="4"><c t="s"><v>{index}</v></c></row>'), sharedStrings="<sst/>"))


@pytest.mark.parametrize("style", ["7", "-1", "x", "9" * 5000])
def test_a_style_that_is_not_there_is_that_of_a_number(style):
    page = LOG.replace('<c r="C2">', f'<c r="C2" s="{style}">')
    assert rows(read(book(sheet(page)))) == [(0.0, "1L", 80.5), (10.0, "1R", 81.0)]


def test_a_far_empty_cell_with_a_look_of_its_own_does_no_harm():
    page = LOG + '<row r="1048576"><c r="XFD1048576" s="1"/></row>'
    assert rows(read(book(sheet(page)))) == [(0.0, "1L", 80.5), (10.0, "1R", 81.0)]


def test_a_part_packed_in_an_unusual_way_is_refused():
    buffer = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(book(sheet(LOG)))) as plain,
        zipfile.ZipFile(buffer, "w", zipfile.ZIP_LZMA) as archive,
    ):
        for entry in plain.infolist():
            archive.writestr(entry.filename, plain.read(entry))
    with pytest.raises(LogRefusedError, match="packed in an unusual way"):
        read(buffer.getvalue())


def test_one_bad_workbook_stops_no_fleet():
    names = ("a.xlsx", "b.csv", "c.xlsx", "d.xlsx")
    for name, content in zip(
        names, (far_cell(), PLAIN.encode(), book(f"{LAUGHS}{sheet(LOG)}"), book(sheet(LOG))), strict=True
    ):
        Path(name).write_bytes(content)
    found = read_logs(names)

    assert [log.record.file for log in found.logs] == ["b.csv", "d.xlsx"]
    assert [file for file, _ in found.refused] == ["a.xlsx", "c.xlsx"]


@pytest.mark.parametrize("seed", range(8))
def test_damage_of_any_kind_is_a_refusal_or_a_reading(seed):
    """Bytes changed, cut out or doubled: in the container, and in its parts before they are packed."""
    rng = random.Random(seed)
    whole = book(
        sheet(LOG),
        styles=f'<styleSheet xmlns="{MAIN}"><cellXfs><xf/><xf numFmtId="20"/></cellXfs></styleSheet>',
    )
    with zipfile.ZipFile(io.BytesIO(whole)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    read_at_all = 0
    for k in range(60):
        if k % 2:
            content = _damaged(whole, rng)
        else:
            name = rng.choice(sorted(parts))
            content = packed({**parts, name: _damaged(parts[name], rng)})
        read_at_all += isinstance(outcome(content), LogReadings)
    assert read_at_all > 0  # not all of it is refused at the door


def _damaged(content: bytes, rng: random.Random) -> bytes:
    out = bytearray(content)
    at = rng.randrange(len(out))
    kind = rng.randrange(3)
    if kind == 0:
        out[at] = rng.randrange(256)
    elif kind == 1:
        del out[at : at + rng.randrange(1, 20)]
    else:
        out[at:at] = out[at : at + rng.randrange(1, 20)]
    return bytes(out)
