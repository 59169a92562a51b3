"""The grammar: words, units, cues and protocols, read from ``grammars/`` and checked on load."""

from .load import Grammar, grammars_folder, load_grammar
from .vocabulary import Vocabulary, load_vocabulary

__all__ = ["Grammar", "Vocabulary", "grammars_folder", "load_grammar", "load_vocabulary"]
