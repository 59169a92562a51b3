"""Verdicts: worked examples of publications, and what may and may not overrule a figure."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest

from fieldnotes.errors import InputError, NumbersError
from fieldnotes.estimate import estimate_visit
from fieldnotes.estimate.basis import (
    PerHundredAdults,
    PerHundredDoubled,
    SeenPerHundred,
    TreatedFallPerDay,
)
from fieldnotes.estimate.verdict.comparing import Levels, compare
from fieldnotes.estimate.verdict.situation import Choice, Situation, TreatmentRun, situation_of
from fieldnotes.estimate.verdict.verdicts import verdict_of
from fieldnotes.records import Evidence, Sample, Sign, Supers, Treatment, Visit
from tests.check_values import value
from tests.situations import JULY, board, drones, jar, judged, questions


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(f"2026-{text}")


# Published limits and worked examples.


def test_a_limit_and_its_jar() -> None:
    limit = value("threshold.usda_tucson.wash")["number"]  # USDA Tucson: 3 per 100
    assert judged(jar(3 * limit)).says == "act"
    found = judged(jar(2))
    assert (found.says, found.by) == ("fine for now", day("08-04"))
    assert found.limit is not None
    assert (found.limit.name, found.limit.act, found.limit.basis) == (
        "USDA Tucson", limit, "mites_per_100_adult_bees",
    )  # fmt: skip
    assert found.line == (
        "0.67 mites per 100 adult bees (0.08 to 2.4): fine for now, by USDA Tucson; "
        "look again by 4 August 2026."
    )


def test_six_in_three_hundred_leaves_three_percent_open() -> None:
    """Facts, section f: 6 in 300 is 0.74 to 4.30 per 100."""
    found = judged(jar(6))
    assert (found.says, found.by) == ("look again", day("07-28"))
    assert "9 mites in this jar would have meant to act; there were 6." in found.changes


def test_the_doubled_poster_meets_a_doubled_figure_only() -> None:
    example = value("example.umn.doubling")  # 5 per 100 with brood is 10, where the poster treats
    mites = example["inputs"]["mites_per_100_bees"] * 3
    sugar = jar(mites, method="sugar")
    with_brood = judged(sugar, None, "minnesota_poster")
    assert with_brood.says == "act"
    assert with_brood.limit is not None
    assert with_brood.limit.act == example["published_output"]
    assert any("doubled to stand for the mites under cappings" in r for r in with_brood.reasons)
    assert judged(replace(sugar, brood="none"), None, "minnesota_poster").says != "act"
    stated = Situation(PerHundredDoubled(value=10), day=JULY, method="sugar", treatments=())
    assert judged(stated, None, "minnesota_poster").says == "act"
    assert judged(stated, "US").says == "act"  # halved by name: 5 against 3
    assert judged(replace(stated, figure=PerHundredDoubled(value=5)), "US").says == "look again"


def test_the_leaflet_of_2016_goes_by_brood() -> None:
    with_brood = value("example.sugar.brood_doubling_2016")["published_output"]
    without = value("example.sugar.nobrood_2016")["number"]
    by = "improvement_leaflet"

    def says(mites: int, brood: str) -> str:
        return judged(jar(mites, method="sugar", brood=brood), None, by).says

    assert says(with_brood, "worker brood") == "act"
    assert says(with_brood - 1, "worker brood") != "act"
    assert says(without, "none") == "act"
    assert says(without - 1, "none") != "act"
    open_one = judged(jar(with_brood, method="sugar", brood="not said"), None, by)
    assert open_one.says == "can't say"
    assert "brood" in questions(open_one)
    assert "With worker brood: act." in open_one.reasons[0]


def test_the_sugar_test_by_weight() -> None:
    """Osnabrück: at once above 25 in 50 g, about 500 bees; safe below 5 in July."""
    now = value("threshold.de.osn.sugar_now")["number"]
    by = "osnabrueck"
    sugar = {"method": "sugar", "bees": 500}
    assert judged(jar(now, **sugar), None, by).says == "look again"
    assert judged(jar(now + 1, **sugar), None, by).says == "act"
    assert judged(jar(4, **sugar), None, by).says == "fine for now"
    assert judged(jar(5, **sugar), None, by).says == "look again"
    september = jar(14, day=day("09-10"), **sugar)
    assert judged(september, None, by).says == "fine for now"


def test_a_board_of_48_hours_and_of_a_night() -> None:
    april = {"day": day("04-10")}
    limit = value("threshold.wa_usa.april_board")["number"]  # 24 in 48 hours
    assert judged(board(limit, 2, **april), "US-WA").says == "act"
    below = judged(board(limit - 1, 2, **april), None, "washington_state")
    assert below.says == "look again"
    night = judged(board(200, 1, day=day("08-10")), None, "southeast_usa")
    assert night.says == "can't say"
    assert any("mites a night" in reason for reason in night.reasons)


def test_an_ether_limit_is_no_wash_limit() -> None:
    august = {"day": day("08-10")}
    raw = value("threshold.se_usa.1997.ether")["number"]
    assert judged(jar(raw, method="ether", **august), None, "southeast_usa").says == "act"
    wash = judged(jar(raw, **august), None, "southeast_usa")
    assert (wash.says, wash.limit) == ("can't say", None)


def test_a_legal_duty_stands_whatever_was_chosen() -> None:
    limit = value("threshold.au.nsw.must_treat")["number"]
    days = value("threshold.au.nsw.treat_days")["number"]
    found = judged(jar(limit + 1), "AU-NSW", "california")
    assert (found.says, found.act_by) == ("act", JULY + dt.timedelta(days=days))
    assert found.limit is not None
    assert found.limit.force == "legal duty"
    assert any("such orders change" in reason for reason in found.reasons)
    # At the limit itself there is no duty, and an order says nothing of safety below it.
    assert judged(jar(limit), "AU-NSW").says == "can't say"
    assert judged(jar(0), "AU-NSW").says == "can't say"


def test_conflicts_are_shown_and_not_averaged() -> None:
    found = judged(board(21, day=day("07-20")), "DE-RP")  # 7 a day
    assert found.says == "act"
    assert found.limit is not None
    assert found.limit.act == value("threshold.de.lib.july")["number"] or found.limit.act == 5
    assert {(other.says, other.limit.guideline) for other in found.conflicts} == {
        ("look again", "osnabrueck")
    }
    chosen = judged(board(21, day=day("07-20")), "DE-RP", "osnabrueck")
    assert chosen.says == "look again"
    assert {other.limit.guideline for other in chosen.conflicts} == {
        "rhineland_palatinate", "hohen_neuendorf",
    }  # fmt: skip


def test_a_guideline_against_itself() -> None:
    """Larcher: highest accepted 4 to 6 in July, and 6 mites in 300 call for treatment."""
    found = judged(jar(9), None, "resistance_breeding")
    assert found.says == "act"
    assert found.limit is not None
    assert found.limit.row == "resistance_breeding_300"
    assert [other.limit.row for other in found.conflicts] == ["resistance_breeding_july"]


def test_young_colonies_have_their_own_limit() -> None:
    production = value("threshold.de.hannover.production")["number"]
    young = {"colony_kind": "nucleus"}
    assert judged(board(3 * production), None, "hannover").says == "look again"
    assert judged(board(3 * production, **young), None, "hannover").says == "act"
    found = judged(board(3 * production + 1), None, "hannover")
    assert found.says == "act"
    assert "Taken as a production colony." in found.reasons


def test_drone_cells_by_country() -> None:
    critical = value("threshold.de.drone_cells")["number"]
    assert judged(drones(critical + 1), "DE").says == "act"
    assert judged(drones(critical + 1), "UK").says == "look again"  # light below 5, severe over 25
    assert judged(drones(26), "UK").says == "act"


def test_an_alarm_level_calls_nothing_safe() -> None:
    severe = value("threshold.uk.2005.severe_fall")["number"]
    assert judged(board(3 * severe + 3), "UK").says == "act"
    quiet = judged(board(3), "UK")
    assert quiet.says == "can't say"
    assert any("alarm level" in reason for reason in quiet.reasons)


def test_a_yard_mean_and_a_colony() -> None:
    march = {"day": day("03-10")}
    by = "grand_est"
    assert judged(jar(4, **march), None, by).says == "can't say"  # a colony is no yard
    yard = judged(jar(4, of="yard mean", **march), None, by)
    assert yard.says == "act"  # above 1 per 100
    against_colonies = judged(jar(12, of="yard mean"), "US")
    assert against_colonies.says == "act"
    assert any("yard's mean" in reason for reason in against_colonies.reasons)


# No place, no limit, only recalled limits.


def test_without_a_place_the_rate_is_shown_and_the_place_asked() -> None:
    found = judged(jar(30), None)
    assert (found.says, found.limit, found.by) == ("can't say", None, None)
    assert found.line.startswith("10.0 mites per 100 adult bees (6.8 to 14.0): can't say")
    assert questions(found) == {"country"}
    assert {"DE", "US", "AU"} <= set(found.asks[0].options)


def test_recalled_limits_decide_nothing() -> None:
    found = judged(jar(30), "CA-ON")
    assert (found.says, found.limit, found.conflicts) == ("can't say", None, ())
    assert any("recalled, not confirmed" in reason for reason in found.reasons)
    assert judged(jar(30), "NZ").reasons[0].startswith("No guideline is known for NZ")
    spring = judged(jar(3, day=day("05-10")), "CA-BC", "british_columbia")
    assert any(reason.startswith("No limit for alcohol at this time") for reason in spring.reasons)


@pytest.mark.parametrize("kind", [SeenPerHundred, TreatedFallPerDay])
def test_some_figures_have_no_limit_anywhere(kind: Any) -> None:
    method = "visual" if kind is SeenPerHundred else "sticky_board"
    found = judged(Situation(kind(value=90.0), day=JULY, method=method, treatments=()), "DE")
    assert (found.says, found.limit) == ("can't say", None)


# What may overrule a figure.


def run(first: str | None, last: str | None = None, active: Any = "formic_acid") -> TreatmentRun:
    return TreatmentRun(active, first and day(first), last and day(last))


@pytest.mark.parametrize(
    ("runs", "low_wash", "high_wash", "low_board"),
    [
        ((run("06-01", "06-08"),), "fine for now", "act", "fine for now"),  # long over
        ((run("06-20", "06-27"),), "look again", "act", "look again"),  # 17 days: in the cycle
        ((run("07-01", "07-08"),), "look again", "act", "can't say"),  # 6 days: fall not natural
        ((run("06-15", None, "amitraz"),), "can't say", "can't say", "can't say"),  # strips in
        ((run("04-01", None, "amitraz"),), "fine for now", "act", "fine for now"),  # 56 days over
        ((run("07-10", "07-20"),), "can't say", "can't say", "can't say"),
        ((run(None, "07-20"),), "can't say", "can't say", "can't say"),
        ((run(None, None),), "can't say", "can't say", "can't say"),  # when is not known
        ((run("07-14", "07-14"),), "fine for now", "act", "fine for now"),  # after the sample
        ((run("08-01", None),), "fine for now", "act", "fine for now"),  # still to come
        ((run("07-01", "07-08", "drone_removal"),), "fine for now", "act", "fine for now"),
        ((run("06-10", "07-08", "brood_break"),), "look again", "act", "look again"),
        ((TreatmentRun("thymol", ongoing=True),), "can't say", "can't say", "can't say"),
    ],
)
def test_treatments_and_their_windows(
    runs: tuple[TreatmentRun, ...], low_wash: str, high_wash: str, low_board: str
) -> None:
    assert judged(jar(1, treatments=runs)).says == low_wash
    assert judged(jar(15, treatments=runs)).says == high_wash
    assert judged(board(3, treatments=runs), "DE").says == low_board


def test_after_a_treatment_the_next_count_waits_for_the_brood() -> None:
    found = judged(jar(1, treatments=(run("06-20", "06-27"),)))
    assert (found.not_before, found.by) == (day("07-18"), day("07-25"))
    assert any("ended 17 days before the sample" in reason for reason in found.reasons)
    strips = judged(jar(1, treatments=(run("06-15", None, "amitraz"),)))
    assert strips.by is None
    assert any("no verdict while a treatment is at work" in reason for reason in strips.reasons)


def test_a_wash_after_a_brood_break_is_never_fine() -> None:
    assert judged(jar(0, break_ended=day("07-05"))).says == "look again"
    assert judged(jar(0, break_ended=day("06-01"))).says == "fine for now"


@pytest.mark.parametrize("sign", ["deformed_wings", "spotty_brood", "crawling_bees", "weak_colony"])
def test_signs_override_a_good_number(sign: Any) -> None:
    signs = frozenset({sign})
    found = judged(jar(0, signs=signs))
    assert (found.says, found.by) == ("look again", day("07-21"))
    assert any("Larcher" in reason for reason in found.reasons)
    assert judged(jar(9, signs=signs), "US", "california").says == "act"  # between watch and act
    assert judged(jar(9), "US", "california").says == "look again"
    assert any(
        sign.replace("_", " ") in reason for reason in judged(jar(0, signs=signs), None).reasons
    )
    assert judged(jar(0, signs=frozenset({"chalkbrood"}))).says == "fine for now"


@pytest.mark.parametrize("where", ["US", None])
@pytest.mark.parametrize("mites", [0, 60])
@pytest.mark.parametrize("sign", ["american_foulbrood", "european_foulbrood"])
def test_foulbrood_stands_above_any_figure(sign: Any, mites: int, where: str | None) -> None:
    found = judged(jar(mites, signs=frozenset({sign})), where)
    assert found.alarm is not None
    assert found.line == f"{found.alarm}."
    for word in ("close up", "move no combs", "tools", "inspector"):
        assert word in found.line
    assert (found.by, found.limit, found.cautions) == (None, None, ())


def test_robbing_brings_the_count_forward() -> None:
    assert judged(jar(0)).by == day("08-04")
    assert judged(jar(0, incidents=(day("07-10"),))).by == day("07-21")
    assert judged(jar(0, incidents=(day("07-16"),))).by == day("07-16")  # after the count: at once
    assert judged(jar(0, incidents=(day("07-16"),), today=day("07-18"))).by == day("07-18")
    assert judged(jar(0, incidents=(day("05-01"),))).by == day("08-04")  # long ago


def test_late_summer_winter_and_projections_bring_it_forward() -> None:
    assert judged(jar(0, day=day("05-01"))).by == day("05-31")
    assert judged(jar(0, day=day("08-20"))).by == day("09-10")
    assert judged(jar(0, day=day("12-01"), brood="none")).by == dt.date(2027, 1, 30)
    assert judged(jar(0, day=day("12-01"))).by == day("12-31")
    assert judged(jar(0, projected=day("07-30"))).by == day("07-30")
    assert judged(jar(0, projected=dt.date(2027, 5, 1))).by == day("08-04")
    south = judged(jar(0, day=day("01-20")), "AU-VIC", "california")
    assert south.by == day("02-10")


def test_an_old_count_makes_no_colony_fine() -> None:
    assert judged(jar(0, today=day("08-03"))).says == "fine for now"
    found = judged(jar(0, today=day("08-20")))
    assert (found.says, found.by) == ("look again", day("08-20"))
    assert found.reasons[0].startswith("The count is too old")


@pytest.mark.parametrize(
    ("reads", "low", "high"),
    [
        ("low", "can't say", "act"),
        ("high", "fine for now", "can't say"),
        ("either", "can't say", "can't say"),
    ],
)
def test_a_spoiled_sample_shows_one_side_at_most(reads: Any, low: str, high: str) -> None:
    assert judged(jar(0, reads=reads)).says == low
    assert judged(jar(15, reads=reads)).says == high


def test_the_comb_bears_on_the_verdict() -> None:
    """Bees over honey carry about half the mites of bees over brood (Calderone, Turcotte 1998)."""
    assert judged(jar(0, frame="super")).says == "can't say"
    assert judged(jar(12, frame="super")).says == "act"
    assert judged(jar(0, frame="brood")).says == "fine for now"
    poster = judged(jar(24, frame="honey", method="sugar"), None, "minnesota_poster")
    assert poster.limit is None  # bees from elsewhere are not doubled


def test_ranges_and_figures_without_limits() -> None:
    def with_figure(**numbers: float) -> str:
        bare = replace(jar(0), figure=PerHundredAdults(**numbers), mites=None, bees=None)
        return judged(bare).says

    assert with_figure(value=1.0) == "look again"  # how sure it is, nobody knows
    assert with_figure(at_least=8.0) == "act"
    assert with_figure(at_least=1.0, at_most=4.0) == "can't say"
    assert with_figure(at_least=1.0, at_most=2.0, low=0.5, high=2.5) == "fine for now"
    assert with_figure(at_most=1.0, high=2.0) == "fine for now"


def test_the_chance_is_shown_and_can_take_fine_away() -> None:
    seen = []

    def chance(level: Any) -> float:
        seen.append(level)
        return 0.3

    found = judged(jar(0, chance_above=chance))
    assert (found.says, found.chance_above) == ("look again", 0.3)
    assert seen == [PerHundredAdults(value=3.0)]
    assert any("30%" in reason for reason in found.reasons)
    seen.clear()
    judged(jar(9, method="sugar", chance_above=chance), None, "minnesota_poster")
    assert seen == [PerHundredAdults(value=5.0)]  # the doubled level, on the basis of the count
    assert judged(jar(0, chance_above=lambda _: 0.01)).says == "fine for now"
    assert judged(jar(0, chance_above=lambda _: None)).says == "fine for now"


# What would change the answer, and what is asked.


def test_what_would_change_the_answer() -> None:
    bc = jar(0, day=day("08-10"))
    found = judged(bc, "CA-BC", "british_columbia")
    assert found.says == "look again"  # 0 in 300 leaves 1.22 per 100 possible, 0 in 600 0.61
    assert any("A second jar with as few mites would settle it" in line for line in found.changes)
    assert "3 mites in this jar would have meant to act; there were 0." in found.changes
    assumed = judged(jar(10, bees_low=240, bees_high=500))
    assert any(line.startswith("Counting the bees") for line in assumed.changes)
    assert not any(line.startswith("Counting the bees") for line in judged(jar(30)).changes)


def test_questions_only_where_they_change_the_verdict() -> None:
    assert questions(judged(jar(1))) == set()
    assert questions(judged(jar(1, brood="not said"))) == set()  # no limit here goes by brood
    assert questions(judged(jar(1, treatments=None))) == {"treatment"}
    assert questions(judged(jar(15))) == {"supers"}
    assert questions(judged(jar(15, supers_on=True))) == set()
    thumb = {"method": "sugar", "brood": "not said"}
    assert questions(judged(jar(4, **thumb), None, "rule_of_thumb")) == {"brood"}
    assert questions(judged(jar(0, **thumb), None, "rule_of_thumb")) == set()
    assert "brood" not in questions(judged(jar(30, **thumb), None, "rule_of_thumb"))
    assert questions(judged(jar(30, treatments=None), "CA-ON")) == set()  # nothing would help
    for ask in judged(jar(15, treatments=None)).asks:
        assert (ask.need, ask.kind) == ("advice", "missing")


def test_cautions_stand_with_any_advice_to_treat() -> None:
    cautions = " ".join(judged(jar(15)).cautions)
    for word in ("label", "law", "veterinarian", "goggles", "supers"):
        assert word in cautions
    assert judged(jar(0)).cautions == ()


# From the records, and bad input.


SAID = Evidence(said=((0, 1),))


def told(record: type[Any], **fields: Any) -> Any:
    return record(
        **fields, evidence={name: SAID for name in fields if name not in record.PARTS}
    )  # fmt: skip


def test_from_a_visit_to_a_verdict() -> None:
    wash = told(Sample, method="alcohol", mites=4, bees=300)
    proof = dict.fromkeys(("date", "capped_brood", "weather_c", "supers.on"), SAID)
    visit = Visit(
        date=JULY,
        capped_brood=True,
        weather_c=31.0,
        supers=Supers(on=1),
        samples=(wash,),
        signs=(told(Sign, sign="deformed_wings", present=True),),
        treatment=(
            told(Treatment, active="thymol", action="planned"),
            told(Treatment, active="oxalic_acid", action="once", date=day("07-01")),
        ),
        evidence=proof,
    )
    (estimate,) = estimate_visit(visit)
    found = situation_of(estimate, visit, interval=(0.2, 3.6), today=day("07-15"))
    assert found.brood == "worker brood"
    assert found.treatments == (TreatmentRun("oxalic_acid", day("07-01"), day("07-01")),)
    assert found.signs == {"deformed_wings"}
    assert (found.supers_on, found.temperature_c) == (True, 31.0)
    assert found.figure is not None
    assert (found.figure.low, found.figure.high) == (0.2, 3.6)
    assert judged(found).says == "look again"
    bare = situation_of(estimate)
    assert (bare.treatments, bare.brood, bare.figure) == (None, "not said", estimate.figure)


def test_what_cannot_be_judged_is_said() -> None:
    withheld = estimate_visit(Visit(samples=(told(Sample, method="alcohol"),)))[0]
    found = judged(situation_of(withheld))
    assert (found.says, found.reasons) == ("can't say", ("There is no figure to judge.",))
    assert judged(jar(3, day=None)).says == "can't say"


def test_bad_input_is_an_error() -> None:
    with pytest.raises(InputError, match="no guideline 'nowhere'; choose one of"):
        verdict_of(jar(3), Choice("US", "nowhere"))
    with pytest.raises(NumbersError, match="ends on the day it begins"):
        TreatmentRun("thymol", day("07-10"), day("07-01"))
    with pytest.raises(NumbersError, match="before the day of the sample"):
        jar(3, today=day("07-01"))
    with pytest.raises(TypeError, match="count different things"):
        compare(PerHundredAdults(value=3), Levels(PerHundredDoubled(value=6), "from"))
