"""fieldnotes reads a beekeeper's spoken or scribbled hive notes into checked records.

The path of the data, and where each part lives:

``records``   what a note is and what a reading of it may say
``grammar``   loads and checks the vocabulary, protocols and cues that stand in ``grammars/``
``reading``   text to record: the stages, in order, are listed in ``reading.reader``
``protocol``  which steps of the sampling protocol were said to be done
``estimate``  what a count means: mites per 100 bees, with its interval and its basis
``season``    keeps notes and readings in one SQLite file
``cli``       the commands; joins the parts and holds no rules
"""

__version__ = "0.1.0"
