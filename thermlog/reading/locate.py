"""Where the table of a log begins, how its cells are told apart, and what its columns are."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.beheld import tells_sight
from thermlog.reading.between import as_statement, take_statements
from thermlog.reading.cells import count_words, shown
from thermlog.reading.columnmap import column_map_template
from thermlog.reading.columns import plan_columns
from thermlog.reading.files.comments import Comment, take_comments
from thermlog.reading.files.dialect import DELIMITERS, Dialect, Records, quoting_of, split_block, split_blocks
from thermlog.reading.files.rawtext import split_lines
from thermlog.reading.headerrows import MOST_COLUMNS, find_header, fits_plan, header_rank, is_sure
from thermlog.reading.headless import Header, header_for, told_by_cells
from thermlog.reading.plan import Lack, Plan
from thermlog.reading.readoptions import ReadOptions
from thermlog.reading.severalsaid import each_said
from thermlog.reading.sidebyside import STACKED_NOTE, are_beside, stacked
from thermlog.reading.statements import is_statement, names_key
from thermlog.words.errors import LogRefusedError
from thermlog.words.regular import regular

_SAMPLE_LINES = 120
_UNQUOTED = Dialect(quoted=False)
_OTHERS = regular(r"[\";\t|]")
_ENDINGS = ' \t",;|'  # what a spreadsheet leaves behind a line of text
_DIGIT = regular(r"\d")
_DELIMITER_WORDS = {
    "comma": ",",
    "semicolon": ";",
    "tab": "\t",
    "\\t": "\t",
    "bar": "|",
    "pipe": "|",
    "space": " ",
}


class Table(Struct, kw_only=True):
    """The table of a log, found but not yet read.

    Attributes
    ----------
    plan : Plan
    dialect : Dialect or None
        None for a workbook.
    lines : sequence of str
        All lines, comment lines blanked; empty for a workbook.
    records : Records or None
        All rows of a workbook.
    start : int
        Index of the first line (or row) of readings.
    comments : sequence of Comment
    header : tuple of str
        Cells of the header as plain text; empty if there is none.
    notes : tuple of str
    above : tuple of Comment
        Lines before the table that say nothing thermlog uses.
    """

    plan: Plan
    dialect: Dialect | None
    lines: Sequence[str]
    records: Records | None
    start: int
    comments: Sequence[Comment]
    header: tuple[str, ...]
    notes: tuple[str, ...]
    above: tuple[Comment, ...] = ()

    def after(self, line: int) -> int:
        """Index of the first line (or row) below a line."""
        if self.dialect is not None or self.records is None:
            return line
        return list(self.records.lines).index(line) + 1

    def first_rows(self) -> Sequence[Sequence[str]]:
        """Rows of the first part; none where they cannot be split, which reading them names."""
        try:
            return next(self.blocks()).rows
        except (csv.Error, StopIteration):
            return ()

    def blocks(self) -> Iterator[Records]:
        """Rows of readings in parts."""
        if self.dialect is not None:
            return split_blocks(self.lines, self.dialect, start=self.start)
        records = self.records or Records(rows=[], lines=())
        return iter([Records(rows=records.rows[self.start :], lines=records.lines[self.start :])])


def cells_below(rows: Sequence[Sequence[str]], column: int) -> list[str]:
    """Cells of a column that are not empty."""
    return [row[column] for row in rows if column < len(row) and row[column].strip()]


def locate_in_text(text: str, *, file: str, options: ReadOptions) -> Table:
    """Find the table in a text.

    Parameters
    ----------
    text : str
    file : str
        For messages.
    options : ReadOptions

    Raises
    ------
    LogRefusedError
        No header that makes a log is found; its hint is a column map ready to edit.
    """
    lines = split_lines(text)
    comments = each_said([*take_comments(lines, text), *take_statements(lines)])
    if quick := _plain_header(lines, options):
        dialect = quoting_of(text) if '"' in text else _UNQUOTED
        return _plain_table(lines, quick, comments, dialect)
    _refuse_too_wide(lines, file)
    delimiters, first = _delimiters(lines, options)
    quoting = quoting_of("\n".join(lines[:_SAMPLE_LINES]))
    tries = []
    for delimiter in delimiters:
        dialect = replace(quoting, delimiter=delimiter)
        sample = _sample(lines, dialect, first, file)
        header = find_header(sample, options.column_map, file)
        if is_sure(header) and not _mixed(sample.rows[header.index], delimiter):
            return _table(lines, dialect, header, comments, sample)
        tries.append((dialect, sample, header))
    if _names_wheel(comments):
        tries = [(dialect, sample, _without_position(header)) for dialect, sample, header in tries]
    for dialect, sample, header in sorted(tries, key=lambda one: (one[2].span, -one[2].plan.score)):
        if is_sure(header):
            return _table(lines, dialect, header, comments, sample)
    return _without_header(lines, tries, comments, file, options)


def locate_in_records(records: Records, *, file: str, options: ReadOptions) -> Table:
    """Find the table in the rows of a workbook; arguments and errors as in `locate_in_text`."""
    comments = each_said(_take_comment_rows(records))
    sample = Records(rows=records.rows[:_SAMPLE_LINES], lines=records.lines)
    header = find_header(sample, options.column_map, file)
    if header.plan.layout is None and are_beside(records.rows):
        return _below(records, comments, file, options)
    if header.plan.layout is None:
        header = told_by_cells(sample) or header
    header = _without_position(header) if _names_wheel(comments) else header
    if header.plan.layout is None:
        raise _no_table(sample, header, Dialect(), file)
    lines = [",".join(row) for row in sample.rows[: header.index]]
    table = _table(lines, Dialect(), header, comments, sample)
    return replace(table, dialect=None, records=records, lines=())


def _below(records: Records, comments: Sequence[Comment], file: str, options: ReadOptions) -> Table:
    """The table that tables side by side make, read one below the other."""
    table = locate_in_records(stacked(records, file=file), file=file, options=options)
    return replace(table, comments=[*comments, *table.comments], notes=(*table.notes, STACKED_NOTE))


def _names_wheel(comments: Sequence[Comment]) -> bool:
    """True if a line names the wheel of the rows that follow."""
    return any(names_key(comment.text, "wheel") for comment in comments)


def _without_position(header: Header) -> Header:
    """The same header, which lacks no wheel where each wheel is named on a line of its own."""
    if not header.plan.lacks_wheel:
        return header
    plan = replace(header.plan, layout="long", lack=None)
    return replace(header, plan=plan)


def _take_comment_rows(records: Records) -> list[Comment]:
    """Comment rows and ``key: value`` rows of a workbook, blanked in `records`."""
    found = []
    for index, row in enumerate(records.rows):
        if row and row[0].strip()[:1].isalpha() and (statement := as_statement(row)):
            found.append(Comment(line=records.lines[index], text=statement))
            records.rows[index] = []
        elif row and row[0].lstrip().startswith("#"):
            found += take_comments([" ".join(row)], row[0], first_line=records.lines[index])
            records.rows[index] = []
    return found


def _plain_header(lines: Sequence[str], options: ReadOptions) -> Header | None:
    """The header of a comma log without preamble and quotes, which is what most logs are."""
    if options.delimiter not in {None, ","} or options.column_map is not None:
        return None
    index = next((k for k, line in enumerate(lines) if line), -1)
    if index < 0 or index + 1 >= len(lines) or lines[index].count(",") > MOST_COLUMNS:
        return None
    if _OTHERS.search(lines[index]) is not None:
        return None
    plan = plan_columns(tuple(lines[index].split(",")))
    following = lines[index + 1].count(",") + 1
    if plan.layout is None or following != plan.width or _DIGIT.search(lines[index + 1]) is None:
        return None
    return Header(plan=plan, index=index, span=1, agreement=1.0)


def _refuse_too_wide(lines: Sequence[str], file: str) -> None:
    """Refuse, before cells are cut, what is as wide as no log."""
    for number, line in enumerate(lines[:_SAMPLE_LINES], start=1):
        if len(line) <= MOST_COLUMNS:
            continue
        columns = max(map(line.count, DELIMITERS[:4])) + 1
        if columns > MOST_COLUMNS:
            problem = (
                f"{columns} columns, and a log has at most {MOST_COLUMNS}; if readings go on to the right, "
                "turn the table so that each is a row, else export only the columns of time, wheel and "
                "temperature"
            )
            raise LogRefusedError(problem, code="too_wide", file=file, line=number, value=shown(line[:200]))


def _delimiters(lines: Sequence[str], options: ReadOptions) -> tuple[Sequence[str], int]:
    """Delimiters to try, and the first line to look at."""
    first = next((k for k, line in enumerate(lines) if line.strip()), 0)
    stated = re.fullmatch(r'"?sep=(.|\\t)"?\s*', lines[first], re.IGNORECASE) if lines else None
    if options.delimiter is not None:
        delimiter = _DELIMITER_WORDS.get(options.delimiter.lower(), options.delimiter)
        return [delimiter[:1] or ","], first + bool(stated)
    if stated:
        return [_DELIMITER_WORDS.get(stated[1], stated[1])], first + 1
    return DELIMITERS, first


def _sample(lines: Sequence[str], dialect: Dialect, first: int, file: str) -> Records:
    try:
        return split_block(lines[first : first + _SAMPLE_LINES], dialect, first_line=first + 1)
    except csv.Error as fault:
        problem = f"cells cannot be told apart ({fault}); export the log as plain CSV"
        raise LogRefusedError(problem, code="row_shape", file=file) from None


def _mixed(row: Sequence[str], delimiter: str) -> bool:
    """True if headings hold other delimiters: the true one may be among them."""
    others = {";", "\t", "|"} - {delimiter}
    return any(other in cell for cell in row for other in others)


def _plain_table(
    lines: Sequence[str], header: Header, comments: Sequence[Comment], dialect: Dialect
) -> Table:
    plan = header.plan
    return Table(
        plan=plan,
        dialect=dialect,
        lines=lines,
        records=None,
        start=header.index + 1,
        comments=comments,
        header=plan.names,
        notes=plan.notes,
    )


def _table(
    lines: Sequence[str],
    dialect: Dialect,
    header: Header,
    comments: list[Comment],
    sample: Records | None = None,
) -> Table:
    first = header.index + 1 if sample is None else sample.lines[header.index]
    start = first - 1 + header.span
    if sample is not None and header.index + header.span < len(sample.rows):
        start = sample.lines[header.index + header.span] - 1
    found, above = preamble(lines[: first - 1])
    notes = [f"header read from {header.span} lines, line {first} to {start}"] if header.span > 1 else []
    return Table(
        plan=header.plan,
        dialect=dialect,
        lines=lines,
        records=None,
        start=start,
        comments=(*comments, *found),
        header=() if header.span == 0 else header.plan.names,
        notes=(*notes, *header.plan.notes),
        above=tuple(above),
    )


def preamble(lines: Sequence[str]) -> tuple[list[Comment], list[Comment]]:
    """Statements among the lines before the table, and the other lines."""
    found, others = [], []
    written = [
        Comment(line=index + 1, text=line.rstrip(_ENDINGS).strip('" \t')) for index, line in enumerate(lines)
    ]
    for one in each_said(written):
        text = one.text
        as_pair = re.sub(r"^([^:=,;\t]+)[,;\t]\s*", r"\1: ", text) if ":" not in text else text
        if is_statement(as_pair) or tells_sight(as_pair):
            found.append(replace(one, text=as_pair))
        elif tells_sight(text):
            found.append(one)
        elif text and not text.lower().startswith("sep="):
            others.append(one)
    return found, others


def _without_header(
    lines: Sequence[str],
    tries: Sequence[tuple[Dialect, Records, Header]],
    comments: list[Comment],
    file: str,
    options: ReadOptions,
) -> Table:
    """No header makes a log: read tables side by side, tell the columns by their cells, or refuse."""
    for dialect, sample, _ in tries:
        if are_beside(sample.rows):
            return _below(split_block(lines, dialect), comments, file, options)
    for dialect, sample, _ in tries:
        if told := told_by_cells(sample):
            return _table(lines, dialect, told, comments, sample)
    dialect, sample, header = max(tries, key=lambda t: (*header_rank(t[2]), _even_width(t[1])))
    if header.plan.layout is not None:
        raise _ragged(dialect, sample, header, file)
    for other, rows, _ in tries:
        if missing := header_for(rows.rows, other.delimiter):
            row = rows.rows[missing[0]]
            problem = f"no header, and not every line is a reading; add one line above: {missing[1]}"
            line, value = rows.lines[missing[0]], shown(other.delimiter.join(row))
            raise LogRefusedError(problem, code="no_header", file=file, line=line, value=value)
    raise _no_table(sample, header, dialect, file, noted=bool(comments))


def _ragged(dialect: Dialect, sample: Records, header: Header, file: str) -> LogRefusedError:
    """The header is understood, but most rows have another number of cells."""
    first = header.index + header.span
    odd = [
        k
        for k in range(first, len(sample.rows))
        if any(sample.rows[k]) and not fits_plan(sample.rows[k], header.plan)
    ]
    row = sample.rows[odd[0]]
    problem = f"{count_words(len(row), 'cell')} where the header has {header.plan.width}"
    if dialect.delimiter == "," and len(row) > header.plan.width:
        problem += (
            '; if "," is also the decimal mark, export with semicolons between cells or with decimal points'
        )
    else:
        problem += "; give every row as many cells, or say what stands between them with --delimiter"
    return LogRefusedError(
        problem,
        code="row_shape",
        file=file,
        line=sample.lines[odd[0]],
        value=shown(dialect.delimiter.join(row)),
    )


def _even_width(sample: Records) -> int:
    widths = [len(row) for row in sample.rows if row]
    common = max(set(widths), key=widths.count, default=0)
    return widths.count(common) if common > 1 else 0


def _no_table(
    sample: Records, header: Header, dialect: Dialect, file: str, *, noted: bool = False
) -> LogRefusedError:
    rows = [(line, row) for line, row in zip(sample.lines, sample.rows, strict=False) if any(row)]
    if not rows:
        what = "nothing but notes stands in the file" if noted else "the file is empty"
        return LogRefusedError(f"{what}; a log needs a header line and readings", code="empty", file=file)
    line, row = sample.lines[header.index], sample.rows[header.index]
    if not any(row):
        line, row = rows[0]
    lack = header.plan.lack or Lack(
        "columns", "no column of temperatures and no column of wheels is recognised"
    )
    problem = (
        f"{lack.text}; name the columns like time_s,position,temp_c or give a map of them with --columns"
    )
    return LogRefusedError(
        problem,
        code=lack.code,
        file=file,
        line=line,
        value=shown(dialect.delimiter.join(row)),
        hint=column_map_template(row, header.plan, header_line=line),
    )
