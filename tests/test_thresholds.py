"""Limits, seasons and treatments as data: held to what was published, and refused when broken."""

from __future__ import annotations

import datetime as dt
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldnotes.errors import GrammarError
from fieldnotes.estimate.basis import BASES
from fieldnotes.estimate.verdict.comparing import levels_of
from fieldnotes.grammar.advice import known_advice, load_advice
from fieldnotes.grammar.files import grammars_folder
from fieldnotes.grammar.located import line_of
from fieldnotes.grammar.printed import LimitBasis
from fieldnotes.grammar.protocols import Cited, load_sources
from fieldnotes.grammar.seasons import Brood, Hemisphere, season_of, stages_of
from fieldnotes.grammar.thresholds import (
    COMPARED,
    Guideline,
    Limit,
    Mark,
    known_thresholds,
    load_thresholds,
)
from fieldnotes.grammar.treatments import known_treatments, load_treatments
from tests.check_values import values

STAGES = known_thresholds().stages.stage
DAYS = st.dates(dt.date(2020, 1, 1), dt.date(2030, 12, 31))


def rows() -> Iterator[tuple[Guideline, Limit | Mark]]:
    for guideline in known_thresholds().guidelines:
        for row in (*guideline.limit, *guideline.mark):
            yield guideline, row


ROWS = [pytest.param(row, id=row.id) for _, row in rows()]


def published(row: Any) -> list[dict[str, Any]]:
    return [values()[name] for name in row.check]


def numbers_of(row: Limit | Mark) -> set[float]:
    names = ("watch", "act", "act_high", "act_days", "figure", "figure_high")
    found = (getattr(row, name, None) for name in names)
    return {float(number) for number in found if number is not None}


# Every published limit is there, as it was printed.


def test_every_published_limit_has_a_row() -> None:
    named = {name for _, row in rows() for name in row.check}
    wanted = {name for name in values() if name.startswith("threshold.")}
    wanted |= {"cp.doubled_ok", "cp.doubled_treat"}
    wanted |= {"example.sugar.brood_doubling_2016", "example.sugar.nobrood_2016"}
    assert len(wanted) > 90
    assert wanted - named == set()


@pytest.mark.parametrize("row", ROWS)
def test_a_row_holds_the_published_numbers(row: Limit | Mark) -> None:
    if row.id == "resistance_breeding_300":  # told in a note of the table's rows
        assert "6 mites in 300" in values()["threshold.at.resist.june"]["note"]
        return
    found = {
        float(one[key]) for one in published(row) for key in ("number", "low", "high") if key in one
    }
    assert numbers_of(row) <= found
    statuses = {one["status"] for one in published(row)}
    assert statuses == {row.cited.status}


@pytest.mark.parametrize("row", ROWS)
def test_a_row_is_printed_in_the_published_unit(row: Limit | Mark) -> None:
    """What the published row counts, by its own words, is what the row's unit counts."""
    for one in published(row):
        unit, name = one["unit"], one["id"]
        if name.endswith((".bees", ".treat_days")):
            continue
        words = f"{unit} {one['basis']}"
        assert ("night" in words) == row.printed.night, name
        assert ("whole colony" in words) == row.printed.colony, name
        assert ("48 h" in words) == (row.printed.hours == 48), name
        assert ("drone" in words) == (row.printed.cells is not None), name
        assert ("doubled" in words) == (row.basis == "mites_per_100_bees_doubled"), name
        if "300" in words or "raw" in words:
            assert row.printed.bees == 300, name
        if "per 100 bees" in unit:
            assert row.printed.bees == 100, name
        if "per 10 g" in unit:
            assert (row.printed.grams, row.printed.bees) == (10, 100), name
        if "per 50 g" in unit:
            assert (row.printed.grams, row.printed.bees) == (50, 500), name


@pytest.mark.parametrize("row", ROWS)
def test_a_row_goes_by_the_published_method(row: Limit | Mark) -> None:
    if isinstance(row, Mark):
        return
    for one in published(row):
        basis = f"{one['basis']} {one['quantity']}".lower()
        if re.search(r"\bether\b", basis):
            assert row.methods == ("ether",)
        if "natural fall" in basis or "board" in basis:
            assert "sticky_board" in row.methods
        if "alcohol" in basis and "sugar" not in basis:
            assert set(row.methods) == {"alcohol", "soap"}


@pytest.mark.parametrize("row", ROWS)
def test_a_row_cites_the_published_source(row: Limit | Mark) -> None:
    for one in published(row):
        if one["status"] == "common practice":
            continue
        first = row.cited.source.split()[0].strip(",")
        same = first.casefold() in one["source"].casefold() or "weblog" in one["source"]
        assert same or row.cited.source.startswith(
            ("Beekeepers", "Imkerverein", "Two UK", "GDS")
        ), row.cited.source
        if isinstance(row.year, int):
            assert str(row.year) in one["source"] + row.cited.source + one["context"]


def test_what_is_recalled_drives_nothing() -> None:
    recalled = [row for _, row in rows() if row.cited.status == "memory"]
    assert len(recalled) == 16  # coalition 4, Ontario 4, Alberta 2, UK by months 6: from memory
    assert not any(row.drives for row in recalled if isinstance(row, Limit))


def test_compared_bases_are_those_of_the_figures() -> None:
    assert set(BASES) >= COMPARED
    assert not (set(get_args(LimitBasis)) - COMPARED) & set(BASES)
    for _, row in rows():
        if isinstance(row, Limit):
            assert (levels_of(row) is None) == (row.basis not in COMPARED)


def test_raw_limits_in_the_terms_of_the_trade() -> None:
    """Published pairs: 15 in 300 is 5, 3 in 300 is 1, 24 in 48 hours 12 a day, 5 in 50 g one."""
    levels = {row.id: row.printed.normal(row.act) for _, row in rows() if isinstance(row, Limit)}
    watch = {row.id: row.watch for _, row in rows() if isinstance(row, Limit)}
    assert levels["southeast_1997_ether"] == 5  # facts: 15 raw is 5 per 100
    assert levels["washington_april_ether"] == 1
    assert levels["washington_april_board"] == 12  # the row's note: "12 a day"
    assert levels["washington_august_board"] == 23
    assert levels["osnabrueck_sugar_july"] == 5
    assert watch["osnabrueck_sugar_july"] == 5  # in 500 bees: 1 per 100
    assert levels["nsw_duty"] == 2


def test_every_source_is_used_and_says_its_kind() -> None:
    folder = grammars_folder()
    text = "".join(path.read_text("utf-8") for path in (folder / "thresholds").glob("*.toml"))
    text += (folder / "advice.toml").read_text("utf-8")
    for key in load_sources(folder / "thresholds"):
        assert f'source = "{key}"' in text, key
    text = "".join(path.read_text("utf-8") for path in (folder / "treatments").glob("*.toml"))
    for key in load_sources(folder / "treatments"):
        assert f'source = "{key}"' in text, key
    keys = [set(load_sources(folder / part)) for part in ("protocols", "thresholds", "treatments")]
    assert not keys[0] & (keys[1] | keys[2])


# Seasons.


@pytest.mark.parametrize(
    ("day", "side", "brood", "season"),
    [
        ("2026-01-10", "north", "none", "dormant"),
        ("2026-01-10", "north", "worker brood", "dormant_brood"),
        ("2026-04-10", "north", "worker brood", "increase"),
        ("2026-07-01", "north", "none", "peak"),
        ("2026-08-20", "north", "worker brood", "decrease"),
        ("2024-02-29", "north", "none", "dormant"),
        ("2026-01-10", "south", "worker brood", "peak"),
        ("2026-07-01", "south", "none", "dormant"),
        ("2026-10-01", "south", "worker brood", "increase"),
        ("2026-03-01", "south", "worker brood", "decrease"),
    ],
)
def test_the_season_of_a_day(day: str, side: Hemisphere, brood: Brood, season: str) -> None:
    assert season_of(dt.date.fromisoformat(day), side, brood, STAGES).id == season


@given(DAYS, st.sampled_from(get_args(Hemisphere)), st.sampled_from(get_args(Brood)))
def test_every_day_has_one_season(day: dt.date, side: Hemisphere, brood: Brood) -> None:
    held = stages_of(day, side, brood, STAGES)
    assert sum(stage.season for stage in held) == 1
    ids = {stage.id for stage in held}
    assert "any" in ids
    assert ("broodless" in ids) == (brood == "none")
    month = f"{day:%B}".lower()
    if side == "north" and month in {stage.id for stage in STAGES}:
        assert month in ids
    if side == "south":
        assert month not in ids  # the months of guidelines are those of northern places


def test_places_have_their_hemisphere() -> None:
    stages = known_thresholds().stages
    assert stages.hemisphere_of("AU-NSW") == stages.hemisphere_of("NZ") == "south"
    assert stages.hemisphere_of("US-FL") == stages.hemisphere_of("DE") == "north"


def test_the_most_closely_made_guideline_comes_first() -> None:
    found = [guideline.id for guideline in known_thresholds().made_for("US-FL")]
    assert found[0] == "florida"
    assert "usda_tucson" in found
    assert "california" not in found
    assert [g.id for g in known_thresholds().made_for("US")] == ["usda_tucson", "coalition_phases"]
    assert known_thresholds().made_for("NZ") == ()


# Advice and treatments.


def test_advice_against_published_values() -> None:
    rules = known_advice()
    assert rules.after.fall_days == values()["efficacy.wait.min"]["low"]
    assert rules.after.cycle_days == values()["bee.worker.total"]["number"]
    assert rules.after.retest_days == 7 * values()["schedule.retest_days"]["high"]
    assert values()["schedule.au.established"]["number"] == 1  # a month
    assert rules.ahead.most_days == 30


TREATMENTS = [
    ("amitraz.max_days", "amitraz", "strips", 1),
    ("fluvalinate.days", "tau_fluvalinate", "strips", 1),
    ("flumethrin.max_weeks", "flumethrin", "strips", 7),
    ("coumaphos.days", "coumaphos", "strips", 1),
    ("formic.strip.days", "formic_acid", "strips", 1),
]


@pytest.mark.parametrize(("name", "active", "form", "days"), TREATMENTS)
def test_days_at_work_against_published_values(
    name: str, active: Any, form: str, days: int
) -> None:
    row = values()[name]
    most = row["high"] if "high" in row else row["number"]
    found = [work for work in known_treatments()[active].at_work if name in work.check]
    assert [work.days for work in found] == [most * days]


def test_treatment_rules_against_published_values() -> None:
    formic = known_treatments()["formic_acid"].rule
    assert values()["formic.strip.temp"]["low"] in [rule.below_c for rule in formic]
    assert values()["formic.strip.temp"]["high"] in [rule.above_c for rule in formic]
    fahrenheit = values()["formic.strip.temp_us"]["high"]
    assert round((fahrenheit - 32) / 1.8, 1) in [rule.above_c for rule in formic]
    assert values()["formic.strip.min_bees"]["number"] in [rule.bees for rule in formic]
    checked = 0
    for treatment in known_treatments().values():
        for rule in treatment.rule:
            for name in rule.check:
                assert values()[name]["status"] == rule.cited.status, name
                checked += 1
    assert checked >= 15


def test_no_treatment_is_ever_allowed() -> None:
    folder = grammars_folder() / "treatments"
    text = "".join(path.read_text("utf-8").lower() for path in folder.glob("*.toml"))
    text = text.replace("no permission", "")
    assert not [word for word in ("allowed", "permitted", "permission", "is safe") if word in text]


# Broken files.


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(grammars_folder(), tmp_path / "grammars"))


def load_all(folder: Path) -> None:
    load_thresholds(folder)
    load_treatments(folder)
    load_advice(folder)


BROKEN = [
    ("thresholds/usa.toml", 'basis = "mites_per_100_adult_bees"', 'basis = "percent"', "basis"),
    ("thresholds/usa.toml", "act = 3\n", "act = -3\n", "act"),
    ("thresholds/usa.toml", "act = 3\n", "", "act: Field required"),
    ("thresholds/usa.toml", "printed = { bees = 100 }", "printed = { hours = 24 }", "printed"),
    ("thresholds/usa.toml", "printed = { bees = 100 }", "printed = { }", "one of bees"),
    ("thresholds/usa.toml", 'stage = "any"', 'stage = "often"', "no stage 'often'"),
    ("thresholds/usa.toml", 'id = "florida_wash"', 'id = "usda_tucson_jar"', "stands twice"),
    ("thresholds/usa.toml", 'source = "usda_tucson"', 'source = "nobody"', "unknown source"),
    ("thresholds/usa.toml", "watch = 2\n", "watch = 9\n", "below the act level"),
    ("thresholds/usa.toml", 'force = "research"', 'force = "rule of thumb"', "rule of thumb"),
    ("thresholds/australia.toml", "act_days = 14\n", "", "within how many days"),
    ("thresholds/australia.toml", 'stage = "any"', 'stage = "july"', "no window"),
    ("thresholds/stages.toml", 'last = "02-29"', 'last = "02-20"', "0 seasons hold"),
    ("thresholds/stages.toml", 'first = "11-01"', 'first = "13-01"', "month must be"),
    ("thresholds/france.toml", 'id = "alsace"', 'ident = "alsace"', "id: Field required"),
    ("thresholds/france.toml", "[[guideline]]", "[[guideline", "not valid TOML"),
    ("treatments/amitraz.toml", 'aspect = "supers"', 'aspect = "hope"', "aspect"),
    ("treatments/amitraz.toml", 'active = "amitraz"', 'active = "thymol"', "own name"),
    ("treatments/formic_acid.toml", 'forms = ["strips"]', 'forms = ["pills"]', "none of the forms"),
    ("treatments/formic_acid.toml", "above_c = 29.5\n", "", "below_c or above_c"),
    ("advice.toml", "most_days = 30", "most_days = 45", "most_days"),
    ("advice.toml", '"deformed_wings"', '"sad_bees"', "is no sign"),
]


@pytest.mark.parametrize(("name", "old", "new", "complaint"), BROKEN)
def test_a_broken_file_is_named(
    folder: Path, name: str, old: str, new: str, complaint: str
) -> None:
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text, "give the test another line"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(GrammarError) as caught:
        load_all(folder)
    message = str(caught.value)
    assert path.name in message
    assert complaint in message
    assert "\n" not in message


def test_an_error_names_the_line(folder: Path) -> None:
    path = folder / "thresholds" / "germany.toml"
    lines = path.read_text(encoding="utf-8").splitlines()
    third = [n for n, line in enumerate(lines) if line == "act = 25"][2]
    lines[third] = 'act = "many"'
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(GrammarError, match=rf"line {third + 1}: guideline\.0\.limit\.4\.act: "):
        load_thresholds(folder)


@given(st.integers(0, 4), st.integers(0, 3), st.sampled_from("ab"))
def test_the_line_of_a_key(outer: int, inner: int, key: str) -> None:
    """Against a file whose lines say themselves where they stand."""
    text = "# head\n"
    for one in range(5):
        text += f"\n[[g]]\na = 'g.{one}.a'\nb = 'g.{one}.b'\n"
        for two in range(4):
            text += f"[[g.l]]\na = 'g.{one}.l.{two}.a'\nb = 'g.{one}.l.{two}.b'\n"
    lines = text.splitlines()
    assert f"'g.{outer}.{key}'" in lines[line_of(text, ("g", outer, key)) - 1]
    found = line_of(text, ("g", outer, "l", inner, key))
    assert f"'g.{outer}.l.{inner}.{key}'" in lines[found - 1]
    missing = line_of(text, ("g", outer, "l", inner, "c"))
    assert f"'g.{outer}.l.{inner}.a'" in lines[missing]  # the table's own header


def test_citations_have_a_status() -> None:
    for _, row in rows():
        assert isinstance(row.cited, Cited)
        assert row.cited.says
