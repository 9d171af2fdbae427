"""One case for each vehicle and drive that the rows of a file, or what stands above them, name."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from thermlog.reading.cells import shown
from thermlog.reading.sifted import CaseKey, Cases, StepResult
from thermlog.reading.statements import drive_word

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.reading.sifted import LogRows


def cases_told(rows: LogRows) -> StepResult[Cases]:
    """The cases of a file."""
    extra, said, options = rows.seen.extra, rows.asked.statements, rows.asked.options
    vehicle, drive = said.vehicle or options.vehicle, said.drive or options.drive
    if said.sections:  # what holds for a row is filled in; what is not stated there is not known
        vehicle, drive = options.vehicle, options.drive
    if "vehicle" not in extra and "drive" not in extra and rows.seen.walk is None:
        return StepResult(found=_placed(rows, (CaseKey(vehicle=vehicle, drive=drive),), None))
    blank = [""] * len(rows.seen.line)
    written = [extra.get(role, blank) for role in ("vehicle", "drive")]
    vehicles, drives = map(_filled_down, written)
    names: dict[str, str] = {}
    keys: dict[CaseKey, int] = {}
    of_row = [
        keys.setdefault(
            CaseKey(vehicle=_one_name(names, v) or vehicle, drive=_drive(d) or drive, walk=walk), len(keys)
        )
        for v, d, walk in zip(vehicles, drives, rows.seen.walk or [0] * len(blank), strict=True)
    ]
    notes = [_FILLED for own, whole in zip(written, (vehicles, drives), strict=True) if own is not whole]
    if spelled := sorted({shown(v.strip()) for v in vehicles} - {"", *names.values()}):
        notes.append(f"vehicle {', '.join(spelled)}: the same as another but for case or blanks")
    unknown = sorted({key.drive for key in keys if key.drive and drive_word(key.drive) is None})
    if unknown:
        notes.append(
            f"drive {shown(', '.join(unknown))}: not normal, coast or verification, kept apart as written"
        )
    return StepResult(found=_placed(rows, tuple(keys), of_row), notes=notes)


def _placed(rows: LogRows, keys: tuple[CaseKey, ...], of_row: list[int] | None) -> Cases:
    """Such cases with the section of the log that each begins in."""
    said, line = rows.asked.statements, rows.seen.line
    first = [0] if of_row is None else [of_row.index(case) for case in range(len(keys))]
    sections = tuple(said.section(line[row]) if said.sections else 0 for row in first)
    return Cases(keys=keys, of_row=of_row, sections=sections)


def _one_name(names: dict[str, str], text: str) -> str:
    """The first spelling of a name, whatever its case and blanks."""
    name = shown(text.strip())
    return names.setdefault("".join(name.casefold().split()), name) if name else ""


_FILLED = "empty cells of vehicle or drive take the value above: merged cells are filled once"


def _filled_down(cells: Sequence[str]) -> Sequence[str]:
    """Cells merged in a spreadsheet are filled in their first row only: the others take the value above.

    They are merged where the first row is filled, at most every second one is, and no two in a row agree.
    """
    filled = [k for k, cell in enumerate(cells) if cell.strip()]
    names = [cells[k].strip() for k in filled]
    anew = all(a != b for a, b in pairwise(names))
    if not filled or filled[0] != 0 or 2 * len(filled) > len(cells) or not anew:
        return cells
    return [cells[k] for a, b in zip(filled, [*filled[1:], len(cells)], strict=True) for k in [a] * (b - a)]


def _drive(text: str) -> str:
    return drive_word(text) or text.strip()
