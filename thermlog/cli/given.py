"""What was stated about how logs are read and judged, as it was typed: to print it again, and to keep it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click
from click.core import ParameterSource

if TYPE_CHECKING:
    from collections.abc import Mapping

_KEY = "thermlog.stated"


class StatedOption(click.Option):
    """An option that changes a result; its text is remembered where it is not the default."""

    def consume_value(self, ctx: click.Context, opts: Mapping[str, Any]) -> tuple[Any, ParameterSource]:
        """Value of the command line."""
        value, source = super().consume_value(ctx, opts)
        if source is ParameterSource.COMMANDLINE and value != self.default and self.name is not None:
            texts = (value,) if isinstance(value, str) else tuple(value)
            ctx.meta.setdefault(_KEY, {})[self.name] = texts
        return value, source


def stated_texts(ctx: click.Context) -> dict[str, tuple[str, ...]]:
    """Texts of every option that was stated, by its name."""
    return dict(ctx.meta.get(_KEY, {}))


def stated_words(ctx: click.Context) -> tuple[str, ...]:
    """The same as words of a command line."""
    texts = stated_texts(ctx)
    return tuple(
        word
        for option in ctx.command.params
        if isinstance(option, StatedOption)
        for text in texts.get(option.name or "", ())
        for word in (option.opts[-1], text)
    )
