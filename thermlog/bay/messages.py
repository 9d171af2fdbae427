"""What the page and its server say to each other."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from msgspec import Meta, Struct

from thermlog.taking.entries import Entry
from thermlog.words.bounds import NotNegative

if TYPE_CHECKING:
    from thermlog.advice.narrowing import AnswerMeaning, SearchedPlace

WALK = "^[a-z0-9]{8,24}$"
WalkName = Annotated[str, Meta(pattern=WALK)]
_Word = Annotated[str, Meta(max_length=60)]
_Told = Annotated[str, Meta(max_length=120)]


class NewWalk(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A walk that a page begins; sent twice it is the same.

    Attributes
    ----------
    walk : str
        Its identity, made by the page.
    vehicle, axles, brakes, weight, by
        As in `vehicleform.described_vehicle`, and names.
    drive : str
        Kind of drive; empty: not said.
    unit : {"C", "F"}
        Of what the gun shows.
    """

    walk: WalkName
    vehicle: _Told = ""
    axles: _Word = "2"
    brakes: _Word = ""
    weight: Literal["", "light", "heavy"] = ""
    drive: Literal["", "normal", "coast", "verification"] = ""
    unit: Literal["C", "F"] = "C"
    by: _Word = ""


class Sync(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a page has, and how far it knows the walk.

    Attributes
    ----------
    elapsed_s : float or None
        Since the stop by the page's own clock, now; None before it.
    entries : list of Entry
        Made there and not yet acknowledged.
    known : int
        Entries of the walk that it has.
    kept : list of str
        Keys of readings that were asked about and are right.
    show : {"C", "F"}
        Unit of the texts.
    """

    elapsed_s: NotNegative | None = None
    entries: Annotated[list[Entry], Meta(max_length=200)] = []
    known: Annotated[int, Meta(ge=0)] = 0
    kept: Annotated[list[str], Meta(max_length=200)] = []
    show: Literal["C", "F"] = "C"


class Checks(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Answers to checks at one suspect so far.

    Attributes
    ----------
    found : list of (str, str)
        Check and answer.
    skipped : list of str
        Checks that cannot be done.
    at : str or None
        A brake of the suspect; None for the severest.
    show : {"C", "F"}
    """

    found: Annotated[list[tuple[_Word, _Word]], Meta(max_length=60)] = []
    skipped: Annotated[list[_Word], Meta(max_length=60)] = []
    at: _Word | None = None
    show: Literal["C", "F"] = "C"


class Knock(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The code of an address, to be let in with."""

    code: Annotated[str, Meta(max_length=64)]


class ListedWalk(Struct, frozen=True, kw_only=True):
    """A walk that others have begun."""

    walk: str
    vehicle: str
    axles: int
    drive: str
    unit: str
    readings: int


class AnswerTile(Struct, frozen=True, kw_only=True):
    """One question with its answer, as `reports.summary` tells it."""

    question: str
    state: str
    word: str
    corners: str
    chance: str
    reason: str


class NextTile(Struct, frozen=True, kw_only=True):
    """The wheel to read next, not before a time since the stop [s]."""

    corner: str
    from_s: float
    why: str


class BayView(Struct, frozen=True, kw_only=True):
    """What the log says so far.

    Attributes
    ----------
    urgent : str
        Why the vehicle must not be driven; empty if nothing is urgent.
    answers : tuple of AnswerTile
        "drags?" and "works?"; empty before anything can be judged.
    states : dict
        Corner -> state of its tile.
    settled : bool
        True where both questions are answered.
    next : NextTile or None
    ahead : tuple of str
        Wheels in the order in which they are proposed while the server cannot be asked.
    steps, drives : tuple of str
        What would decide here, and which drive would.
    checks : bool
        True where there is a fault whose cause can be looked for.
    do_next, caution : str
        What comes next and what to beware of, as a check says it; empty while no brake is called and nothing
        stops the vehicle.
    last_lines : tuple of str
        The four lines that a check ends with.
    refusal : str
        Why nothing can be judged although something was read.
    """

    urgent: str = ""
    answers: tuple[AnswerTile, ...] = ()
    states: dict[str, str] = {}
    settled: bool = False
    next: NextTile | None = None
    ahead: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    drives: tuple[str, ...] = ()
    checks: bool = False
    do_next: str = ""
    caution: str = ""
    last_lines: tuple[str, ...] = ()
    refusal: str = ""


class AskedBack(Struct, frozen=True, kw_only=True):
    """A question back about a reading."""

    key: str
    corner: str
    text: str


class Synced(Struct, frozen=True, kw_only=True):
    """The server's side of a `Sync`.

    Attributes
    ----------
    elapsed_s : float or None
        Since the stop by the server's clock, which all pages follow.
    count : int
        Entries of the walk.
    entries : list of Entry
        Those the page did not know.
    refused : dict
        Key of an entry -> why it cannot be kept.
    questions : list of AskedBack
    view : BayView
    """

    elapsed_s: float | None
    count: int
    entries: list[Entry]
    refused: dict[str, str]
    questions: list[AskedBack]
    view: BayView


class CheckTile(Struct, frozen=True, kw_only=True):
    """The next check at the wheel, or the end of the search.

    Attributes
    ----------
    id, question, how, safety : str
        Of the check; empty where there is none.
    minutes : float
    answers : tuple of AnswerMeaning
    ending : str
        What is forbidden whatever is found, and why the search has ended.
    causes : tuple of str
    about : SearchedPlace or None
        Which suspect it is, where there are several.
    others : tuple of SearchedPlace
        The others, each a search of its own.
    """

    id: str
    question: str
    how: str
    safety: str
    minutes: float
    answers: tuple[AnswerMeaning, ...]
    ending: str
    causes: tuple[str, ...]
    about: SearchedPlace | None = None
    others: tuple[SearchedPlace, ...] = ()
