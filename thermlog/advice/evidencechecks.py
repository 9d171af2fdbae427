"""What must hold in the evidence files beside their rows: names, cards, confirmations, roles."""

from __future__ import annotations

from collections.abc import Callable, Collection
from math import isclose
from typing import NoReturn

from thermlog.advice.evidence import Cause, EvidenceTable, Observation
from thermlog.advice.twice import AGAIN, is_again
from thermlog.words.errors import EvidenceError

_ROLES = frozenset(
    {
        "scope", "sign", "repeat", "coast", "face", "hub", "look", "turn", "parking", "bearing", "intake",
        "gate", "ladder_fluid", "ladder_air", "qualified", "verify", "pull", "pedal", "air", "work", "lost",
        "equipment", "grip", "made_to_drag",
    }
)  # fmt: skip
_LEAST_CONFIRMING = 0.3  # a cause shows what confirms it at least so often; it may have several such answers
_ROLE_CAUSES = frozenset({"no_fault", "idle", "bearing"})


def refuse(file: str, where: str, found: object, cure: str) -> NoReturn:
    """Raise the refusal of one mistake: file, place, value found and the cure."""
    msg = f'{file}, {where}, found "{found}": {cure}'
    raise EvidenceError(msg)


def refuse_mistakes(table: EvidenceTable) -> None:
    """Raise an `EvidenceError` for the first mistake; nothing if there is none."""
    _refuse_shares(table)
    _refuse_roles(table)
    _refuse_order(table)
    _refuse_lists(table)
    for key, cause in table.causes.items():
        _refuse_card(f"cause.{key}", cause, ("name", "short", "how", "do", "also", "safety"), "causes.toml")
        _refuse_cause(key, cause, table)
    for key, asked in table.observations.items():
        _refuse_card(f"check.{key}", asked, ("title", "ask", "how", "safety"), "checks.toml")
        _refuse_question(f"check.{key}", asked, table.needs)
        _refuse_seat(f"check.{key}", asked, table)


def _refuse_shares(table: EvidenceTable) -> None:
    for key, shares in table.share.items():
        for kind in shares.keys() - table.kinds.keys():
            refuse("evidence.toml", f"share.{key}", kind, "no such kind of brake")
        if not isclose(sum(shares.values()), 1.0):
            refuse("evidence.toml", f"share.{key}", sum(shares.values()), "shares sum to 1")


def _refuse_roles(table: EvidenceTable) -> None:
    _refuse_names("role", _ROLES, table.role)
    _refuse_names("role_cause", _ROLE_CAUSES, table.role_cause)
    for role, names in table.role.items():
        if not names:
            refuse("evidence.toml", f"role.{role}", "", "this role is missing or empty")
        for name in names:
            if name not in table.observations:
                refuse("evidence.toml", f"role.{role}", name, "no such check")
    known = [(f"role_cause.{role}", name) for role, name in table.role_cause.items()]
    known += [("alike", name) for pair in table.alike for name in pair.causes]
    for where, name in known:
        if name not in table.causes:
            refuse("evidence.toml", where, name, "no such cause")


def _refuse_order(table: EvidenceTable) -> None:
    for where, orders in (("gate", table.gate), ("after", table.after)):
        for key, groups in orders.items():
            for name in (key, *(one for group in groups for one in group)):
                if name not in table.observations:
                    refuse("evidence.toml", f"{where}.{key}", name, "no such check")
    for name, lists in (("moot", table.moot), ("only", table.only), ("next", table.next)):
        for key, stated in lists.items():
            _refuse_answers(f"{name}.{key}", (key, *stated), table)
    sign = table.named("sign")
    for key, stated in table.clear.items():
        signed = () if key == "hub" else (f"{sign}={key}",)
        _refuse_answers(f"clear.{key}", (*signed, *stated), table)


def _refuse_lists(table: EvidenceTable) -> None:
    """What stands before a raised wheel, and lists of answers and checks."""
    for state, orders in table.before.items():
        signs = [f"{table.named('sign')}={sign}" for sign in orders]
        checks = [one for groups in orders.values() for group in groups for one in group]
        _refuse_answers(f"before.{state}", [*signs, *checks], table)
    for name, lists in (("load", table.load), ("stops", table.stops), ("freed", table.freed)):
        for key, stated in lists.items():
            _refuse_answers(f"{name}.{key}", stated, table)


def _refuse_answers(where: str, stated: Collection[str], table: EvidenceTable) -> None:
    for one in stated:
        check, _, answer = one.partition("=")
        asked = table.observations.get(check)
        if asked is None or (answer and answer not in asked.answers):
            refuse("evidence.toml", where, one, "no such check or answer")


def _refuse_names(where: str, needed: Collection[str], stated: Collection[str]) -> None:
    for name in set(needed) ^ set(stated):
        cure = "this role is missing or empty" if name in needed else "no such role; take it out"
        refuse("evidence.toml", where, name, cure)


def _refuse_card(where: str, card: Cause | Observation, texts: tuple[str, ...], file: str) -> None:
    for name in texts:
        text = getattr(card, name)
        if not text.strip():
            refuse(file, f"{where}.{name}", "", "the card is not complete; write it")
        if "{" in text and name != "ask":
            refuse(file, f"{where}.{name}", text, "the place is named in the question only")


def _refuse_question(where: str, asked: Observation, needs: Collection[str]) -> None:
    if set(asked.means) != set(asked.answers) or not all(asked.means.values()):
        refuse("checks.toml", f"{where}.means", list(asked.means), "say of every answer what it means")
    if is_again(where):
        refuse("checks.toml", where, "", f"no name ends in {AGAIN}: that is the check made a second time")
    for name in asked.needs:
        if name not in needs:
            refuse("checks.toml", f"{where}.needs", name, "no such need")
    for wrong, found, cure in _RULES:
        if wrong(asked):
            refuse("checks.toml", where, getattr(asked, found), cure)


def _refuse_seat(where: str, asked: Observation, table: EvidenceTable) -> None:
    """What is told from the seat, or under the bonnet, is not asked of a trailer: it has neither."""
    trailers = [kind for kind in asked.applies_to if table.kinds[kind].group == "trailer"]
    if asked.source == "seat" and trailers:
        refuse(
            "checks.toml", f"{where}.applies_to", trailers, "a trailer has no seat; write a check of its own"
        )


# Every next thing to do begins with one of these: a question alone is no instruction.
INSTRUCTS = frozenset(
    {
        "Ask", "Back", "Build", "Cage", "Chock", "Clamp", "Compare", "Fit", "Follow", "Have", "Let", "Lift",
        "Look", "Measure", "Move", "Open", "Press", "Pull", "Pump", "Push", "Raise", "Read", "Release",
        "Rock", "Run", "Slacken", "Switch", "Take", "Turn", "Unhook", "Wind", "Ease",
    }
)  # fmt: skip


def _is_instruction(asked: Observation) -> bool:
    return asked.source == "log" or asked.instruction.split()[0] in INSTRUCTS


_SAY_IT = f"say it in do, beginning with what to do: {', '.join(sorted(INSTRUCTS))}"
_RULES: tuple[tuple[Callable[[Observation], bool], str, str], ...] = (
    (lambda asked: not asked.ask.endswith("?"), "ask", "a question ends with a question mark"),
    (lambda asked: asked.ask.count("?") > 1, "ask", "one question asks one thing"),
    (lambda asked: asked.once == "wheel" and "{place}" not in asked.ask, "ask", "name the {place}"),
    (lambda asked: not _is_instruction(asked), "instruction", _SAY_IT),
    (lambda asked: asked.once == "wheel" and "{place}" not in asked.instruction, "do", "name the {place}"),
    (lambda asked: not asked.applies_to, "applies_to", "say for which kinds of brake"),
    (lambda asked: asked.minutes <= 0 and asked.source != "log", "minutes", "say how long it takes"),
    (lambda asked: "lift" in asked.needs and "stands" not in asked.needs, "needs", "no lift without stands"),
    (lambda asked: "wheel_off" in asked.needs and "lift" not in asked.needs, "needs", "lift it first"),
)  # fmt: skip


def _refuse_cause(key: str, cause: Cause, table: EvidenceTable) -> None:
    where, kinds = f"cause.{key}.confirms", set[str]()
    if not cause.prior or min(cause.prior.values()) <= 0:
        refuse("causes.toml", f"cause.{key}.prior", dict(cause.prior), "a weight above zero for every kind")
    for confirmation in cause.confirms:
        asked = table.observations.get(confirmation.check)
        if asked is None or confirmation.answer not in asked.answers:
            refuse(
                "causes.toml", where, f"{confirmation.check}={confirmation.answer}", "no such check or answer"
            )
        kinds |= set(asked.applies_to)
        if not _speaks_for(asked, confirmation.answer, key):
            refuse("causes.toml", where, confirmation.check, "this answer does not speak for the cause")
    if unsure := sorted(cause.prior.keys() - kinds):
        refuse("causes.toml", where, unsure, "nothing confirms it on these kinds of brake")


def _speaks_for(asked: Observation, answer: str, cause: str) -> bool:
    """True if the cause shows the answer often, and more often than the causes on average."""
    column = [asked.likelihood(answer, other) for other in asked.p]
    own = asked.likelihood(answer, cause)
    return own >= _LEAST_CONFIRMING and own > sum(column) / len(column)
