"""Stages 3 and 4: the note as a row of items: terms, values, words and marks."""

from .build import ItemBuilder
from .row import CueHit, Hit, Item, Row, item_span, span_of

__all__ = ["CueHit", "Hit", "Item", "ItemBuilder", "Row", "item_span", "span_of"]
