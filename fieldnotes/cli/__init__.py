"""The command line: joins the parts and holds no rules. See :mod:`fieldnotes.cli.app`."""

from __future__ import annotations

import os
import sys


def main() -> None:
    """Run the command line and leave with its exit code."""
    try:
        _prepare_streams()
        from .app import app

        app(prog_name="fieldnotes")
    except KeyboardInterrupt:
        sys.exit(130)


def _prepare_streams() -> None:
    """Make sure that writing words never fails, whatever the terminal can show."""
    if sys.stdout is None:  # closed by the caller: there is nobody to tell anything
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115 - open as long as the program runs
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w")  # noqa: SIM115 - the same
    for stream in (sys.stdout, sys.stderr):
        # A terminal that lacks a sign shows a question mark in its place.
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
