"""Stands around every command: errors end in one line and an exit code, never in a traceback.

Exit codes: 0 all done, 1 done in part, 2 nothing done, 3 done but questions are open (only with
``--strict``). Ctrl-C ends with 130, as shells expect.
"""

from __future__ import annotations

import functools
import os
import sys
import traceback
from collections.abc import Callable
from typing import ParamSpec

import typer

from ..errors import FieldnotesError
from .safe import one_line

P = ParamSpec("P")

DONE, IN_PART, NOTHING, OPEN_QUESTIONS, INTERRUPTED = 0, 1, 2, 3, 130
DEBUG = "FIELDNOTES_DEBUG"


def say(message: str) -> None:
    """Write one line to standard error."""
    typer.echo(f"fieldnotes: {one_line(message)}", err=True)


def inside(error: Exception, *, what: str) -> str:
    """Return the line for an error that is the program's own fault; ``what`` was not saved.

    With FIELDNOTES_DEBUG set, the traceback is shown as well.
    """
    if os.environ.get(DEBUG):
        typer.echo("".join(traceback.format_exception(error)).rstrip(), err=True)
    told = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
    told = told if len(told) <= 200 else told[:200] + "…"
    hint = "" if os.environ.get(DEBUG) else f"; please report it with what {DEBUG}=1 shows"
    return f"something went wrong inside fieldnotes ({told}); {what} was saved{hint}"


def shielded(command: Callable[P, int]) -> Callable[P, None]:
    """Turn a command that returns its exit code into one that ends quietly whatever happens."""

    @functools.wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> None:
        try:
            code = command(*args, **kwargs)
            sys.stdout.flush()
        except FieldnotesError as error:
            say(str(error))
            code = error.exit_code
        except KeyboardInterrupt:
            code = INTERRUPTED
        except BrokenPipeError:
            # The reader of our output (head, less) has gone: nobody is left to tell.
            drop_output()
            code = IN_PART
        except OSError as error:
            drop_output()
            say(f"{error.filename or 'input or output'}: {error.strerror or error}")
            code = NOTHING
        except Exception as error:  # noqa: BLE001 - whatever it is, the user gets one line
            say(inside(error, what="nothing"))
            code = NOTHING
        raise typer.Exit(code)

    return run


def drop_output() -> None:
    """Send what is still buffered for standard output nowhere, so that leaving stays quiet."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError):  # standard output is no real file, as in tests
        return
