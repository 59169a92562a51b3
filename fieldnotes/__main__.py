"""``python -m fieldnotes`` is the same as ``fieldnotes``."""

from .cli import main

if __name__ == "__main__":
    main()
