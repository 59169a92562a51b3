"""Stage 7: whose clause it is: all mentions of colonies and yards in a note.

The sources, surest first: the roster and the cells of tables, codes of two numbers ("12-3"),
explicit names ("hive 7"), yards, number lists, scored names. What one source has taken, a later one
leaves. Then come further mentions of what is known by now, and the mentions are settled against
each other: a name that stands alone elsewhere does not take the number beside it, and weak
candidates count only where nothing stronger names a colony.
"""

from __future__ import annotations

from collections.abc import Iterable

from ...grammar.load import Grammar
from ..items import Row
from ..tables import Table
from .again import mentions_again
from .evidence import Named, Setting, names_with_evidence, setting_of
from .explicit import explicit_mentions
from .groups import group_mentions
from .heads import number_heads
from .hundreds import spoken_hundreds
from .known import roster_mentions, table_mentions
from .lexicon import scene_lexicon
from .mentions import Mention, Roster
from .page import Page
from .pair_codes import pair_codes
from .scored import scored_names
from .settling import settle
from .spoken_codes import spoken_codes
from .yards import yard_mentions


class SceneFinder:
    """Finds mentions with one grammar; keeps no state between notes."""

    def __init__(self, grammar: Grammar) -> None:
        self.lexicon = scene_lexicon(grammar)

    def find(
        self, row: Row, tables: list[Table], roster: Roster, *, given: bool = False
    ) -> list[Mention]:
        """All mentions of a note in order, settled against each other.

        ``given`` tells that the colony is known from outside: names need more evidence then.
        """
        page = Page(row.items, self.lexicon)
        found, setting = self._certain(page, row, tables, roster, given=given)
        found.add(scored_names(page, found.taken, setting))
        found.mentions.sort(key=_first)
        found.add(mentions_again(page, found.taken, found.mentions))
        mentions = sorted([*found.mentions, *group_mentions(page)], key=_first)
        return settle(mentions, page, row)

    def possible_names(self, row: Row, tables: list[Table], roster: Roster) -> list[Named]:
        """Every name that would be scored, with its evidence: what weights are fitted on."""
        page = Page(row.items, self.lexicon)
        found, setting = self._certain(page, row, tables, roster)
        return names_with_evidence(page, found.taken, setting)

    def _certain(
        self,
        page: Page,
        row: Row,
        tables: list[Table],
        roster: Roster,
        *,
        given: bool = False,
    ) -> tuple[_Found, Setting]:
        """The mentions of all sources but scored names, and what they tell of the note."""
        found = _Found()
        found.add(roster_mentions(page, roster))
        for table in tables:
            found.add(table_mentions(page, table))
            found.take(table)
        found.add(pair_codes(page, found.taken))
        found.add(spoken_hundreds(page, row, found.taken))
        for k in range(page.n):
            if k not in found.taken:
                found.add(explicit_mentions(page, k))
        found.add(spoken_codes(page, found.taken))
        found.add(yard_mentions(page))
        strong = given or any(m.kind == "colony" and m.strength >= 0.9 for m in found.mentions)
        heads = number_heads(page, found.taken, strong)
        found.add(heads)
        return found, setting_of(page, found.mentions, strong=strong or bool(heads))


def _first(mention: Mention) -> int:
    return mention.first


class _Found:
    """The mentions so far and the items they take."""

    def __init__(self) -> None:
        self.mentions: list[Mention] = []
        self.taken: set[int] = set()
        self._groups: dict[int, int] = {}

    def add(self, mentions: Iterable[Mention]) -> None:
        """Add those whose items are free, or held by the same group ("hives 1 to 4")."""
        for mention in mentions:
            span = range(mention.first, mention.last)
            shared = mention.group is not None and self._groups.get(span.stop - 1) == mention.group
            if not shared and not self.taken.isdisjoint(span):
                continue
            if mention.group is not None:
                self._groups[span.stop - 1] = mention.group
            self.taken.update(span)
            self.mentions.append(mention)

    def take(self, table: Table) -> None:
        """Leave the cells of known columns and the header to the table."""
        for cell in table.cells:
            if cell.slot:
                self.taken.update(range(cell.first, cell.last))
        if table.header:
            self.taken.update(range(*table.header))
