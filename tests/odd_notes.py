"""Notes that no keeper means to write: random, broken and hostile ones."""

from __future__ import annotations

from typing import Final

from hypothesis import strategies as st

_TRADE = """
    hive colony nuc Juniper Mabel 7 12 H7 yard orchard next one all three both same again the first
    sugar roll alcohol wash soap CO2 sticky board drone uncapping half cup 300 bees brood frame
    centre edge honey super entrance mites mite varroa four six twenty-four none no nil zero dozen
    couple a two three or more another one hundred and a half about maybe almost over at least less
    than per percent days hours minutes since in out on off from of to for with was were found
    counted dropped tablespoons ml g kg cells opened infested queen seen not Q+ QS QNS eggs larvae
    capped BIAS calm hot cups supers added removed formic oxalic thymol strips put took due planned
    will need should next week tomorrow yesterday last month Tuesday Friday 14 July 2026-07-14 14/7
    the 4th 18C 64F °F fed syrup fondant chalkbrood wax moth spotty no wait scratch that make that
    sorry so that makes total if threshold treat neighbour said ditto Q- 4/300 3m/300b 8fob 24h
    ½ 1.5 1,200 0 99999 3%
"""
WORDS: Final = _TRADE.split()
MARKS: Final = [
    *" ,.:;!?-/|()[]{}<>\"'=+*#@&%~_^\\$£€°×→✓✗½¼³", "\n", "\n\n", "\t", "\r\n", "  ", "--", "...",
    "~~", "<s>", "</s>", " - ", " | ", "# ",
]  # fmt: skip
ODD: Final = [
    "\u200b", "\u200d", "\u200e", "\u200f", "\u202b", "\u202e", "\u2066", "\u2069", "\ufeff",
    "\u00ad", "\u0301", "\u0336", "\u034f", "e\u0301", "\u00a0", "\u2028", "\u0085", "\x0b", "\x0c",
    "\x00", "\x1b[31m", "\U0001f41d", "\u0661\u0662", "\uff14", "\u2167", "\u00b2", "\u1e9e",
    "\u0130", "\ufb01", "\ufdfa", "蜂", "עברית", "ملاحظة", "улей", "à", "A\u030a", "\U0001d7d8",
    "1\u200b2", "7\u20e3",
]  # fmt: skip
NO_SURROGATES: Final = st.characters(exclude_categories=["Cs"])

_pieces = st.one_of(
    st.sampled_from(WORDS),
    st.sampled_from(WORDS),
    st.sampled_from(MARKS),
    st.sampled_from(ODD),
    st.integers(0, 400).map(str),
    st.text(NO_SURROGATES, max_size=6),
)
_joints = st.sampled_from([" "] * 12 + ["", "", "\n", ", ", ". "])


@st.composite
def jumbles(draw: st.DrawFn, most: int = 50) -> str:
    """Words, marks and odd characters in any order."""
    parts = draw(st.lists(st.tuples(_pieces, _joints), max_size=most))
    return "".join(part for pair in parts for part in pair)


_NAMES = ["Hive 7", "Juniper", "H7", "the nuc", "hive\u00a03"]
_COUNTS = st.one_of(
    st.integers(0, 1_500).map(str),
    st.sampled_from(["no", "four", "twenty two", "a dozen", "1,204", "½ 6", "３", "1\u200b2"]),
    st.tuples(st.integers(1, 9), st.integers(1, 9)).map(lambda t: f"{t[0]} then {t[1]} more"),
)
_FORMS = [
    "{name}, alcohol wash, 300 bees off a brood frame, {count} mites",
    "{name}: sticky board 3 days, {count} mites",
    "{name} drone uncapping, opened 100 cells, {count} infested",
    "{name} sugar roll half a cup of bees center brood frame {count} mites",
    "{count} mites in {name}, soap wash, 400 bees",
]


@st.composite
def strewn(draw: st.DrawFn) -> str:
    """A note that surely says something, with odd characters strewn in."""
    text = draw(st.sampled_from(_FORMS)).format(
        name=draw(st.sampled_from(_NAMES)), count=draw(_COUNTS)
    )
    for odd in draw(st.lists(st.sampled_from(ODD), max_size=3)):
        at = draw(st.integers(0, len(text)))
        text = text[:at] + odd + text[at:]
    return text


any_note = st.one_of(jumbles(), strewn(), st.text(NO_SURROGATES))

HOSTILE: Final = {
    "one mark": ".",
    "many digits": "hive 7 alcohol wash " + "9" * 400 + " mites",
    "many digits with commas": "hive 7 " + ",".join(["999"] * 130) + " mites in 300 bees",
    "a long decimal": "hive 7 half a cup, 4." + "3" * 400 + " mites",
    "a long fraction": "1" * 200 + "/" + "3" * 200 + " mites",
    "no denominator": "hive 7 alcohol wash 3/0 mites, 0/0",
    "a unit at the end": "7 ° ",
    "digits that are none": "hive 7 ² mites, 3 days,² 4 mites, ①② ⅷ 7⃣ 𝟘",
    "digits of other scripts": "hive ٧ alcohol wash ١٢ mites, ३ days, ４ mites",
    "a day that is none": "31/2/2026 hive 7 4 mites, 99-99-9999, 2026-13-45, 0000-00-00",
    "a time that is none": "hive 7 at 29:99 4 mites, 24:00, 12:60pm",
    "years away": "in 99999999 weeks treat hive 7 with thymol, 400000 days ago 4 mites, 9e9 years",
    "thousands of thousands": "hive 7 " + "thousand " * 150 + "mites",
    "points": "hive 7 six point " + "five " * 300 + "mites",
    "nested brackets": "hive 7 " + "(" * 300 + "4 mites" + ")" * 300,
    "mixed brackets": "([{<" * 100 + "hive 7 4 mites" + ">}])" * 99,
    "struck out": "~~" * 200 + "hive 7 4 mites" + "~~" * 201,
    "struck out by tags": "<s>" * 100 + "hive 7 4 mites" + "</s>" * 99,
    "struck letters": "".join(c + "\u0336" for c in "hive 7 4 mites"),
    "many accents": "hive 7 4 mi" + "\u0301" * 500 + "tes",
    "right to left": "\u202ehive 7 alcohol wash 12 mites\u202c \u2067 300 bees \u2069",
    "a table with holes": "hive|mites|bees\n7|4\n8||300|9|9|9\n|||\n\n9|five|",
    "bars alone": "|\n" * 50,
    "a table of heads": "hive | mites | method\n" * 30,
    "a lone surrogate": "hive 7 alcohol wash 4 mites \ud800",
    "a null": "hive 7\x00 4\x00 mites",
    "colour codes": "\x1b[31mhive 7\x1b[0m 4 mites",
    "old line ends": "hive 7\ralcohol wash\r\r4 mites\r\n",
    "all of none": "all of them 4 mites. back to the first. same again. ditto. the next one",
    "two hundred colonies": "".join(f"Hive {n}: sugar roll, {n % 9} mites\n" for n in range(200)),
    "two hundred in a list": "hives " + ", ".join(map(str, range(200))) + " fed syrup",
    "many corrections": "hive 7 alcohol wash " + "4 mites no wait " * 200 + "5 mites",
    "many parts": "hive 7 alcohol wash 3 mites " + "and then one more " * 200,
    "one word": "mites" * 5_000,
}

EMPTY: Final = [
    "",
    " ",
    "\n\n\t",
    "\u200b",
    "\ufeff",
    "...",
    "?!",
    "-- \n --",
    "~~hive 7 4 mites~~",
]
FOREIGN: Final = [
    "Heute war das Wetter schön, wir haben den Garten gegossen und drei Äpfel gegessen.",
    "Il a plu toute la journée, nous avons bu deux cafés et lu un livre.",
    "Hoy fuimos al mercado y compramos cuatro tomates y un kilo de patatas.",
    "Ieri abbiamo visto sette gatti sul tetto della scuola.",
    "Tänään satoi vettä ja luin kolme kirjaa sohvalla.",
    "Сегодня мы купили пять яблок и две груши.",
    "今日は雨が降ったので、本を三冊読みました。",
    "اشترينا اليوم خمسة كتب من السوق",
    "היום קנינו שלושה ספרים בשוק",
    "Lorem ipsum dolor sit amet, consectetur adipiscing elit 42.",
    "Bus 12 leaves at 9:40, gate 3. Two coffees, 4.50 each.",
]
