"""A column with few distinct values: each is kept once, a row holds its number."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Generic, TypeVar, overload

import numpy as np

if TYPE_CHECKING:
    from thermlog.words.tables import Floats, Ints

_Value = TypeVar("_Value")
_Made = TypeVar("_Made")


class Few(Sequence[_Value], Generic[_Value]):
    """A column of records of which many rows share few.

    Parameters
    ----------
    kinds : sequence
        The distinct values.
    code : int array (rows,)
        Number of the value of each row.

    Examples
    --------
    >>> brakes = Few.of(["drum", "disc", "drum"])
    >>> brakes.kinds, brakes.code.tolist(), brakes[2]
    (('drum', 'disc'), [0, 1, 0], 'drum')
    >>> brakes.table(len).tolist()
    [4.0, 4.0, 4.0]
    """

    __slots__ = ("code", "kinds")

    def __init__(self, kinds: Sequence[_Value], code: Ints) -> None:
        self.kinds = tuple(kinds)
        self.code = code

    @classmethod
    def of(cls, rows: Iterable[_Value]) -> Few[_Value]:
        """The column of these rows; equal values become one, so they must be hashable."""
        number: dict[_Value, int] = {}
        code = [number.setdefault(value, len(number)) for value in rows]
        return cls(tuple(number), np.array(code, dtype=np.int64))

    @classmethod
    def all_one(cls, value: _Value, rows: int) -> Few[_Value]:
        """The same value in every row."""
        return cls((value,), np.zeros(rows, dtype=np.int64))

    def __len__(self) -> int:
        return self.code.size

    @overload
    def __getitem__(self, row: int) -> _Value: ...
    @overload
    def __getitem__(self, row: slice) -> Few[_Value]: ...
    def __getitem__(self, row: int | slice) -> _Value | Few[_Value]:
        """Value of one row, or the column of some."""
        if isinstance(row, slice):
            return Few(self.kinds, self.code[row])
        return self.kinds[int(self.code[row])]

    def __iter__(self) -> Iterator[_Value]:
        """The values of all rows, in order."""
        return map(self.kinds.__getitem__, self.code.tolist())

    def map(self, made: Callable[[_Value], _Made]) -> Few[_Made]:
        """The column of what `made` makes of each distinct value; equal results, hashable, become one."""
        merged = Few.of(made(value) for value in self.kinds)
        return Few(merged.kinds, merged.code[self.code])

    def table(self, number: Callable[[_Value], float | Sequence[float]]) -> Floats:
        """What `number` tells of every row, a row of the table each; every distinct value is asked once.

        Returns
        -------
        float array (rows,) or (rows, numbers)
        """
        of_kinds = np.array([number(value) for value in self.kinds], dtype=np.float64)
        found: Floats = of_kinds[self.code] if self.kinds else of_kinds
        return found
