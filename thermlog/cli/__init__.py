"""The command line: one module a command, imported only when that command runs or is asked for help."""

from __future__ import annotations

import os
import sys
from importlib import import_module
from itertools import pairwise

import click

from thermlog.cli.console import StoppedError, hush, own_streams, set_streams, stop_cleanly
from thermlog.cli.files import StandardOutputError, complain, cut_short, tell, tell_written
from thermlog.reports.wholefile import finished
from thermlog.words.errors import EXIT_FAULT, EXIT_INTERRUPTED, EXIT_REFUSED, OutputError, ThermlogError
from thermlog.words.version import __version__

# Command -> line in the overview. The module of the same name below this package holds the command.
COMMANDS = {
    "check": "Judge one log or several: which brake stays hot or cold, how sure, what next.",
    "narrow": "Look for the cause: the next best check, what each answer means, and what is left.",
    "enter": "Take the readings of a walk at the keyboard, each with its time; answers while you walk.",
    "bay": "Serve a page for phones and tablets on which the readings of a walk are taken.",
    "guide": "Say how to drive, park, aim and walk so that readings mean something, and when to stop.",
    "inspect": "Show what was understood of a log and what was set aside, without judging.",
    "compare": (
        "Lay two or more drives over each other: before and after a repair, or a healthy one for reference."
    ),
    "fleet": "Judge many logs at once into a list of work: what to stop, check, watch, do again.",
    "history": "Show what a depot remembers: a line a unit, or all visits of one with its trend.",
    "learn": "Learn a policy from a depot's own vehicles, and show what it would have changed.",
    "policy": "Show the numbers a verdict rests on, with unit and source.",
    "schema": "Print the JSON Schema (draft 2020-12) of what a command prints with --format json.",
    "simulate": "Simulate a vehicle with a fault planted in it, and print its log.",
    "practice": "Practise on simulated vehicles: look, commit, then see the truth.",
    "demo": "Copy the sample logs into a folder and name the next command.",
}
CONTEXT = {"help_option_names": ["-h", "--help"], "max_content_width": 100}


class _LazyGroup(click.Group):
    """A group that knows its commands by name and imports each only when it is wanted."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 (click's signature)
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        if cmd_name not in COMMANDS:
            return None
        command = getattr(import_module(f"thermlog.cli.{cmd_name}"), cmd_name)
        return command if isinstance(command, click.Command) else None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Name the nearest command for one that does not exist; never run a guess, nor an empty option."""
        if args[0] not in COMMANDS:
            from difflib import get_close_matches

            near = get_close_matches(args[0], COMMANDS, n=1)
            ctx.fail(f'no command "{args[0]}"' + (f'; did you mean "{near[0]}"?' if near else ""))
        if (option := _valueless(args)) is not None:
            ctx.fail(f"{option}: nothing stands behind it; give its value, or leave the option out")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


def _valueless(words: list[str]) -> str | None:
    """The first option whose value is empty, as a variable of a shell that was never set leaves it."""
    for before, word in pairwise(words):
        if not word and before.startswith("-") and before != "-":
            return before
        if word.startswith("--") and word.endswith("=") and word.count("=") == 1:
            return word.rstrip("=")
    return None


@click.group(cls=_LazyGroup, context_settings=CONTEXT)
@click.version_option(__version__, prog_name="thermlog", message="%(prog)s %(version)s")
@click.option("--debug", is_flag=True, expose_value=False, help="Show the traceback of an unexpected fault.")
def program() -> None:
    """Find the dragging or dead brake from timed infrared readings.

    \b
    Exit codes
      0    nothing stands out
      1    a brake or a part beside it asks for a look, or cannot be told
      2    wrong use of a command
      3    a log or another input was refused, or a result could not be written
      4    a fault in thermlog itself
      130  interrupted (143: stopped by the system)
    """  # noqa: D301 (the single \b tells click to leave the lines as they are)


def main() -> int:
    """Start the command line; gives its exit code."""
    # One thread: the arrays are small, and starting a pool costs more than it saves. Must precede numpy.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    own_streams()
    stop_cleanly()
    return run(sys.argv[1:])


def run(arguments: list[str]) -> int:
    """Carry out one command line.

    Parameters
    ----------
    arguments : list of str
        Without the name of the program.

    Returns
    -------
    int
        Exit code.
    """
    finished.clear()
    try:
        return _carry_out(arguments)
    except (ThermlogError, OSError) as refusal:
        return _refused(refusal)
    except (click.Abort, KeyboardInterrupt, StoppedError) as stop:
        return _ended(stop)
    except Exception as fault:  # the one place where a fault of ours becomes a sentence
        if "--debug" in arguments:
            raise
        return _faulty(fault)


def _refused(refusal: ThermlogError | OSError) -> int:
    """Exit code of a refusal, be it ours or the system's: a full disk is no mistake in thermlog."""
    if isinstance(refusal, BrokenPipeError):  # the reader went away; it knows that it has not got everything
        hush()
        return EXIT_REFUSED
    if isinstance(refusal, OSError):
        where = refusal.filename or refusal.filename2
        why = refusal.strerror or refusal
        refusal = cut_short(refusal) if where is None else OutputError(f"{where}: {why}")
    complain(refusal)
    tell_written()
    if isinstance(refusal, StandardOutputError):
        hush()
    return refusal.exit_code


def _ended(stop: BaseException) -> int:
    how = "stopped by the system" if isinstance(stop, StoppedError) else "interrupted"
    tell(how if finished else f"{how}; no result file was written")
    tell_written()
    return stop.code if isinstance(stop, StoppedError) else EXIT_INTERRUPTED


def _faulty(fault: Exception) -> int:
    left = "" if finished else "nothing was written; "
    tell(
        f"unexpected fault ({type(fault).__name__}), a mistake in thermlog and not in your log; {left}"
        "run again as: thermlog --debug COMMAND ... and report what it shows"
    )
    tell_written()
    return EXIT_FAULT


def _carry_out(arguments: list[str]) -> int:
    set_streams()
    try:
        code = program.main(arguments, prog_name="thermlog", standalone_mode=False)
        sys.stdout.flush()
    except click.UsageError as misuse:
        misuse.show()
        return misuse.exit_code
    except click.ClickException as refusal:
        refusal.show()
        return EXIT_REFUSED
    except SystemExit as left:  # how click ends a completion, and answers a reader that goes away
        if not left.code:
            return 0
        hush()
        return EXIT_REFUSED
    return code if isinstance(code, int) else 0
