"""Stages 3 and 4: the note as a row of items: terms, values, words and marks."""

from .build import ItemBuilder
from .row import QUANTITIES, CueHit, Hit, Item, Row, item_span, span_of

__all__ = ["QUANTITIES", "CueHit", "Hit", "Item", "ItemBuilder", "Row", "item_span", "span_of"]
