"""What was stated about how logs are read and judged, as it was typed: to print it again, and to keep it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click
from click.core import ParameterSource
from msgspec import Struct
from msgspec.structs import replace

from thermlog.cli.files import tell
from thermlog.words.shelltext import shell_word

if TYPE_CHECKING:
    from collections.abc import Mapping

_KEY = "thermlog.stated"
_JOINED = ("seen", "surface")  # what is stated later comes beside what was stated before
_WHICH = ("case", "at")  # a record is of one suspect of one drive: another one is no option of it


class StatedOption(click.Option):
    """An option that changes a result; its text is remembered."""

    def consume_value(self, ctx: click.Context, opts: Mapping[str, Any]) -> tuple[Any, ParameterSource]:
        """Value of the command line."""
        value, source = super().consume_value(ctx, opts)
        if source is ParameterSource.COMMANDLINE and self.name is not None:
            texts = (value,) if isinstance(value, str) else tuple(value)
            ctx.meta.setdefault(_KEY, {})[self.name] = texts
        return value, source


def stated_texts(ctx: click.Context) -> dict[str, tuple[str, ...]]:
    """Texts of every option that was stated and is not the default, by its name."""
    return {
        option.name or "": texts
        for option in ctx.command.params
        if isinstance(option, StatedOption)
        and (texts := ctx.meta.get(_KEY, {}).get(option.name))
        and texts != (option.default,)
    }


def stated_words(ctx: click.Context) -> tuple[str, ...]:
    """The same as words of a command line."""
    return tuple(option_words(ctx, stated_texts(ctx)))


def take_up(
    ctx: click.Context, path: str, kept: Mapping[str, tuple[str, ...]], given: tuple[Any, ...]
) -> tuple[Any, ...]:
    """What the command line gave, with what a record of a job holds where it gave nothing.

    What was seen and surfaces are joined; of all else what is given now counts. Both are said.

    Parameters
    ----------
    ctx : click.Context
        Of the command; what holds is stated there from now on.
    path : str
        The record's file.
    kept : mapping of str to tuple of str
        From `stated_texts`.
    given : tuple of Struct
        The records of options.

    Raises
    ------
    JobRefusedError
        The record states what no option takes.
    """
    stated, held = ctx.meta.setdefault(_KEY, {}), []
    for name, before in kept.items():
        option, now = _known(ctx, path, name, before), stated.get(name, ())
        if not now or now == before:
            texts = before
            held += _words(option, before)
        elif name in _JOINED:
            texts = tuple(dict.fromkeys((*before, *now)))
            tell(f"{path}: {_shown(option, now)} comes beside {_shown(option, before)} of the record")
        else:
            texts = now
            if name not in _WHICH:
                tell(
                    f"{path}: {_shown(option, now)} takes the place of {_shown(option, before)} of the record"
                )
        stated[name] = texts
        given = tuple(_with(ctx, path, option, texts, one) for one in given)
    if held:
        tell(f"{path}: goes on with {' '.join(map(shell_word, held))}, as the record states")
    return given


def as_stated(
    ctx: click.Context, path: str, kept: Mapping[str, tuple[str, ...]], given: tuple[Any, ...]
) -> tuple[Any, ...]:
    """What the record states in place of what was given; parameters and errors as of `take_up`."""
    for name, texts in kept.items():
        option = _known(ctx, path, name, texts)
        given = tuple(_with(ctx, path, option, texts, one) for one in given)
    return given


def option_words(ctx: click.Context, kept: Mapping[str, tuple[str, ...]]) -> list[str]:
    """What is stated as words of a command line."""
    return [word for name in kept for word in _words(_option(ctx, name), kept[name])]


def _known(ctx: click.Context, path: str, name: str, texts: tuple[str, ...]) -> StatedOption:
    from thermlog.words.errors import JobRefusedError

    option = next((one for one in ctx.command.params if one.name == name), None)
    if not isinstance(option, StatedOption) or not texts or (len(texts) > 1 and not option.multiple):
        msg = (
            f'{path}: the record states "{name}", which no option takes so; mend it, or begin another record'
        )
        raise JobRefusedError(msg)
    return option


def _with(ctx: click.Context, path: str, option: StatedOption, texts: tuple[str, ...], one: Struct) -> Struct:
    """A record of options with the value of these texts, if it holds that option."""
    from thermlog.words.errors import JobRefusedError

    if option.name not in one.__struct_fields__:
        return one
    try:
        value = option.process_value(ctx, texts if option.multiple else texts[0])
    except click.UsageError as fault:
        msg = (
            f"{path}: the record states {_shown(option, texts)}: {fault.message}; mend it, or give the option"
        )
        raise JobRefusedError(msg) from fault
    return replace(one, **{option.name: value})


def _option(ctx: click.Context, name: str) -> click.Parameter:
    return next(one for one in ctx.command.params if one.name == name)


def _words(option: click.Parameter, texts: tuple[str, ...]) -> list[str]:
    return [word for text in texts for word in (option.opts[-1], text)]


def _shown(option: click.Parameter, texts: tuple[str, ...]) -> str:
    return " ".join(map(shell_word, _words(option, texts)))
