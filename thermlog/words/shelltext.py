"""Commands as they are typed into a shell: what is printed can be pasted."""

from __future__ import annotations

import shlex


def shell_word(text: str) -> str:
    r"""A text as one word of a POSIX shell; what cannot be printed as ``$'...'``, which most shells know.

    Examples
    --------
    >>> print(shell_word("van 1.csv"), shell_word("van.csv"), shell_word("a\nb"))
    'van 1.csv' van.csv $'a\x0ab'
    """
    if text.isprintable():
        return shlex.quote(text)
    return f"$'{''.join(map(_escaped, text))}'"


def shell_file(name: str) -> str:
    """Name of a file as one word that is never read as an option.

    Examples
    --------
    >>> shell_file("-x.csv")
    './-x.csv'
    """
    return shell_word(f"./{name}" if name.startswith("-") and name != "-" else name)


def _escaped(letter: str) -> str:
    if letter in "\\'":
        return f"\\{letter}"
    if letter.isprintable():
        return letter
    return "".join(f"\\x{byte:02x}" for byte in letter.encode("utf-8", "surrogateescape"))


def narrow_command(file: str, stated: tuple[str, ...] = (), *, number: int | None = None) -> str:
    """The command that starts the search for a cause.

    Parameters
    ----------
    file : str
        The log; ``-``: it came over standard input and has to be kept in a file first.
    stated : tuple of str
        Options and their values, one after another, as they were given.
    number : int, optional
        Of the drive in its log, first 1, where it holds several.
    """
    case = () if number is None else ("--case", str(number))
    log = "LOG" if file == "-" else shell_file(file)
    return " ".join(["thermlog narrow", log, *map(shell_word, (*case, *stated))])
