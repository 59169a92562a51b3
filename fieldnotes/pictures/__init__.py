"""Pictures of what the estimator found: as text for a terminal, and as PNG or SVG files.

A front end like the commands: it joins nothing and holds no rules. ``trend.py`` and
``yard_dots.py`` say what a picture shows, ``joining.py`` makes them from the estimator's records,
``terminal.py`` and ``drawn.py`` show them.
"""
