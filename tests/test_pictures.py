"""Pictures: what they refuse, what they say, where lines lie, and that no words collide."""

from __future__ import annotations

import dataclasses
import itertools
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import pytest
from matplotlib.figure import Figure as Drawing
from matplotlib.text import Text
from PIL import Image
from scipy import stats

from fieldnotes.errors import DateError, ExtraError, InputError, NumbersError
from fieldnotes.estimate import estimate_visit
from fieldnotes.estimate.basis import FallPerDay, PercentDroneCells, PerHundredAdults
from fieldnotes.estimate.count_range import figure_of
from fieldnotes.estimate.dated import DatedCount, Happening
from fieldnotes.estimate.growth.outlook import outlook_of
from fieldnotes.estimate.verdict.records import LimitUsed
from fieldnotes.estimate.verdict.situation import Situation, TreatmentRun
from fieldnotes.pictures.drawn import MISSING, picture_bytes, picture_figure, write_picture
from fieldnotes.pictures.joining import levels_of, line_days, trend_of
from fieldnotes.pictures.style import FONT_PT, HEIGHT_CM, LINE_COLOURS, TEXT_COLOURS, WIDTH_CM
from fieldnotes.pictures.trend import Level, LineDay, Mark, Point, Treated, Trend
from fieldnotes.pictures.yard_dots import Dot, YardDots
from fieldnotes.records import Evidence, Sample, StepSaid, Visit
from tests import picture_cases as cases
from tests.picture_cases import CASES, TRENDS, D, count

SVG = "{http://www.w3.org/2000/svg}"
WHITE = "#ffffff"


def adults(value: float, low: float | None = None, high: float | None = None) -> PerHundredAdults:
    return PerHundredAdults(value=value, low=low, high=high)


POINT = Point(D(2026, 7, 1), adults(2, 1, 4), "alcohol wash")


# What no picture can be.


def test_bases_are_never_mixed() -> None:
    fall = FallPerDay(value=8.0, low=2.0, high=9.0)
    day = D(2026, 7, 2)
    for more in (
        {"points": (POINT, Point(day, fall))},
        {"line": (LineDay(day, fall),)},
        {"levels": (Level("act", fall, "Land"),)},
    ):
        with pytest.raises(TypeError, match="mites a day of natural fall"):
            Trend(**({"title": "7", "points": (POINT,)} | more))
    for more in ({"mean": fall}, {"levels": (Level("act", fall, "Land"),)}):
        with pytest.raises(TypeError, match="one kind of figure"):
            YardDots("Orchard", (Dot("7", adults(2)),), **more)  # type: ignore[arg-type]
    with pytest.raises(TypeError):
        YardDots("Orchard", (Dot("7", adults(2)), Dot("8", fall)))
    with pytest.raises(TypeError):
        trend_of([count(day, 3), count(day, 3, 7, basis=FallPerDay)], title="7")


def test_pictures_are_checked_when_they_are_made() -> None:
    early, late = D(2026, 7, 1), D(2026, 7, 9)
    one_day = LineDay(early, adults(2, 1, 3))
    act = Level("act", adults(3), "Land")
    for error, make in (
        (NumbersError, lambda: Trend("7", ())),
        (NumbersError, lambda: Point(early, PerHundredAdults(at_least=2))),
        (NumbersError, lambda: Point(early, adults(2, 3, 4))),
        (NumbersError, lambda: Point(early, adults(2, 1, 1.5))),
        (NumbersError, lambda: LineDay(early, adults(2))),
        (DateError, lambda: Trend("7", (Point(late, adults(2)), POINT))),
        (DateError, lambda: Trend("7", (POINT,), line=(one_day, one_day))),
        (NumbersError, lambda: Level("alarm", adults(3), "Land")),
        (NumbersError, lambda: Level("act", adults(0), "Land")),
        (NumbersError, lambda: Trend("7", (POINT,), levels=(act, act))),
        (NumbersError, lambda: Trend("7", (POINT,), levels=(Level("watch", adults(3), ""), act))),
        (DateError, lambda: Treated("thymol", late, early)),
        (DateError, lambda: Treated("thymol")),
        (NumbersError, lambda: YardDots("Orchard", ())),
        (NumbersError, lambda: YardDots("Orchard", (Dot("7", adults(2)),), not_sampled=("7",))),
    ):
        with pytest.raises(error):
            make()  # type: ignore[no-untyped-call]


def test_pictures_do_not_change() -> None:
    for picture in (cases.growing(), cases.yard()):
        with pytest.raises(dataclasses.FrozenInstanceError):
            picture.title = "other"  # type: ignore[misc]


# From the estimator's records.


def test_limits_of_a_jar_are_those_of_its_estimate() -> None:
    said = Evidence(said=((0, 1),))
    fields: dict[str, Any] = {"method": "alcohol", "mites": 7, "bees": 312}
    proof = {"step": said, "outcome": said}
    steps = (StepSaid(step="count_bees", outcome="done", evidence=proof),)
    sample = Sample(**fields, steps=steps, evidence=dict.fromkeys(fields, said))
    likely = estimate_visit(Visit(samples=(sample,)))[0].likely
    assert likely is not None
    found = figure_of(DatedCount(D(2026, 7, 1), 7, 312))
    assert (found.low, found.high) == pytest.approx((likely.low, likely.high))
    # Jeffreys' gamma of the same count, as SciPy has it.
    assert found.high == pytest.approx(100 * stats.gamma.ppf(0.975, 7.5) / 312)


def test_limits_of_boards_and_cells_are_exact() -> None:
    fall = figure_of(DatedCount(D(2026, 7, 1), 10, 4, FallPerDay))
    low, high = stats.gamma.ppf(0.025, 10) / 4, stats.gamma.ppf(0.975, 11) / 4
    assert (fall.value, fall.low, fall.high) == pytest.approx((2.5, low, high))
    cells = figure_of(DatedCount(D(2026, 7, 1), 4, 20, PercentDroneCells))
    # Published Clopper-Pearson limits of 4 in 20: 0.057334 to 0.436614.
    assert (cells.low, cells.high) == pytest.approx((5.7334, 43.6614), abs=1e-4)
    doubtful = figure_of(DatedCount(D(2026, 7, 1), 10, 4, FallPerDay, spread=0.3))
    assert doubtful.low < fall.low < fall.high < doubtful.high  # type: ignore[operator]


def test_the_line_is_that_of_the_outlook() -> None:
    counts = [count(D(2026, 5, 4), 1), count(D(2026, 6, 2), 3), count(D(2026, 7, 1), 7)]
    outlook = outlook_of(counts, act=cases.ACT, today=D(2026, 7, 2))
    line = {each.day: each.figure for each in line_days(outlook)}
    assert outlook.level is not None
    assert outlook.crossing is not None
    assert line[D(2026, 7, 1)].value == pytest.approx(outlook.level.value)
    assert min(line) == D(2026, 5, 4)
    assert outlook.crossing.likely is not None
    passed = min(day for day in line if day >= outlook.crossing.likely)
    before = max(day for day in line if day < outlook.crossing.likely)
    assert line[before].value < 3 <= line[passed].value  # type: ignore[operator]
    assert 30 <= (max(line) - D(2026, 7, 1)).days <= 60


def test_a_line_that_may_tell_no_day_ends_at_the_last_count() -> None:
    counts = [count(D(2026, 6, 2), 3), count(D(2026, 7, 1), 40)]
    outlook = outlook_of([*counts, count(D(2026, 7, 8), 0)], act=cases.ACT, today=D(2026, 7, 9))
    assert outlook.voided
    assert max(each.day for each in line_days(outlook)) == D(2026, 7, 8)
    withheld = outlook_of([], today=D(2026, 7, 9))
    assert line_days(withheld) == ()


def test_treatments_and_happenings_come_over_in_words() -> None:
    counts = [count(D(2026, 7, 1), 3)]
    day, end = D(2026, 7, 3), D(2026, 7, 9)
    runs = [
        TreatmentRun("unknown", day, end),
        TreatmentRun("drone_removal", day, day),
        TreatmentRun("thymol"),  # neither day is known: nowhere to draw it
    ]
    told = [Happening("treatment", day, end), Happening("queen_caged", day)]
    trend = trend_of(counts, title="7", treatments=runs, happenings=told)
    names = [each.active for each in trend.treated]
    assert names == ["treatment, active not known", "drone removal"]
    assert trend.marks == (Mark("queen caged", day),)
    bare = trend_of(counts, title="7", happenings=told)
    assert bare.treated == (Treated("treatment", day, end),)
    assert trend.points[0].method == "alcohol wash"


def limit(basis: str) -> LimitUsed:
    return LimitUsed(
        guideline="land", name="Land", row="land_summer", basis=basis, stage="summer",
        printed="3", watch=2.0, act=6.0, force="guidance", source="Land", year=2020, status="read",
    )  # fmt: skip


def test_levels_come_over_by_named_conversions_only() -> None:
    def levels(basis: str, brood: Any = "worker brood") -> dict[str, float | None]:
        situation = Situation(figure=adults(2), day=D(2026, 7, 1), brood=brood)
        found = levels_of(limit(basis), situation)
        assert all(isinstance(level.figure, PerHundredAdults) for level in found)
        return {level.kind: level.figure.value for level in found}

    assert levels("mites_per_100_adult_bees") == {"watch": 2.0, "act": 6.0}
    # Lee (2010): doubled with worker brood, so that a doubled limit is half on the bees alone.
    assert levels("mites_per_100_bees_doubled") == {"watch": 1.0, "act": 3.0}
    assert levels("mites_per_100_bees_doubled", "none") == {"watch": 2.0, "act": 6.0}
    assert levels("mites_per_day_natural") == {}
    assert levels("mites_per_colony") == {}
    assert levels_of(None, Situation(figure=None, day=None)) == ()


def test_the_yard_shows_each_colony_once_from_the_most_mites_down() -> None:
    picture = cases.yard()
    values = [dot.value for dot in picture.ranked]
    assert values == sorted(values, reverse=True)
    assert [dot.colony for dot in picture.ranked if dot.stands_out] == ["H7"]
    assert picture.not_sampled == ("9", "10")
    tied = YardDots("Orchard", tuple(Dot(name, adults(1)) for name in ("N10", "N2", "A", "10")))
    assert [dot.colony for dot in tied.ranked] == ["10", "A", "N2", "N10"]


# The drawing.


def svg(picture: Trend | YardDots) -> ET.Element:
    return ET.fromstring(picture_bytes(picture, "svg"))


def words_of(root: ET.Element) -> list[str]:
    return ["".join(each.itertext()) for each in root.iter(f"{SVG}text")]


def test_the_svg_says_what_is_on_it() -> None:
    root = svg(cases.crowded())
    words = words_of(root)
    for said in (
        "Willow 3", "mites per 100 adult bees", "act 3", "watch 1", "growth",
        "formic acid 5 Jun to 19 Jun", "oxalic acid until 6 May", "thymol from 3 Jul",
        "swarmed 20 May", "requeened 12 Jun", "4.3", "1.0",
        "Circle: alcohol wash, square: sugar roll.",
        "Levels: act 3 and watch 1 by Guide of the Province.",
    ):  # fmt: skip
        assert said in words
    title, told = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert root.get("role") == "img"
    assert title is not None
    assert title.text == "Willow 3"
    assert told is not None
    assert "2 June 2026: 4.3 (" in (told.text or "")
    assert "Treated with thymol from 3 July 2026." in (told.text or "")


def test_the_svg_of_a_yard_says_what_is_on_it() -> None:
    root = svg(cases.yard())
    words = words_of(root)
    for said in (
        "Orchard", "H7", "13.3 stands out", "Not sampled: 9, 10.", "all together", "act 3",
        cases.NAMES[1], cases.NAMES[2], "$a_1$ & <b>", "Oak·[31m",
    ):  # fmt: skip
        assert said in words
    assert [word for word in words if "stands out" in word] == ["13.3 stands out"]


def _y_of_path(root: ET.Element, gid: str) -> float:
    group = next(each for each in root.iter(f"{SVG}g") if each.get("id") == gid)
    path = next(group.iter(f"{SVG}path")).get("d") or ""
    heights = {float(y) for _, y in re.findall(r"([\d.]+) ([\d.]+)", path)}
    assert len(heights) == 1, "the line of a level is level"
    return heights.pop()


@pytest.mark.parametrize("make", [cases.growing, cases.far_above, cases.two_seasons])
def test_levels_lie_where_the_axis_says(make: Any) -> None:
    root = svg(make())
    ticks = {}
    for group in root.iter(f"{SVG}g"):
        if re.fullmatch(r"ytick_\d+", group.get("id") or ""):
            label = "".join(next(group.iter(f"{SVG}text")).itertext())
            mark = next(each for each in group.iter(f"{SVG}use"))
            ticks[float(label)] = float(mark.get("y") or "nan")
    assert 0.0 in ticks, "the axis of a rate begins at zero"
    highest = max(ticks)
    slope = (ticks[highest] - ticks[0.0]) / highest
    assert _y_of_path(root, "act") == pytest.approx(ticks[0.0] + 3.0 * slope, abs=0.01)
    assert _y_of_path(root, "act") < _y_of_path(root, "watch") < ticks[0.0]


@pytest.mark.parametrize("make", TRENDS.values(), ids=TRENDS)
def test_counts_lie_where_their_figures_are(make: Any) -> None:
    trend = make()
    axes = picture_figure(trend).axes[0]
    drawn = [line.get_xydata()[0] for line in axes.lines if line.get_gid() == "count"]
    expected = [(point.day.toordinal(), point.figure.value) for point in trend.points]
    assert [tuple(each) for each in drawn] == [pytest.approx(each) for each in expected]
    assert axes.get_ylim()[0] == 0
    assert axes.get_legend() is None


def _texts(figure: Drawing) -> list[Text]:
    found = [text for text in figure.findobj(Text) if text.get_visible() and text.get_text()]
    assert len(found) > 3
    return found


@pytest.mark.parametrize("make", CASES.values(), ids=CASES)
@pytest.mark.filterwarnings("ignore:Glyph")
def test_no_words_touch_and_none_leaves_the_sheet(make: Any) -> None:
    figure = picture_figure(make())
    figure.canvas.draw()
    boxes = [(text.get_text(), text.get_window_extent()) for text in _texts(figure)]
    for (one, box), (other, second) in itertools.combinations(boxes, 2):
        # Lines of words stand close: their boxes hold room for signs taller than most.
        assert not box.shrunk(1.0, 0.8).overlaps(second.shrunk(1.0, 0.8)), f"{one!r} on {other!r}"
    sheet = figure.bbox
    for words, box in boxes:
        assert sheet.x0 <= box.x0 <= box.x1 <= sheet.x1, words
        assert sheet.y0 <= box.y0 <= box.y1 <= sheet.y1, words


@pytest.mark.parametrize("make", CASES.values(), ids=CASES)
@pytest.mark.filterwarnings("ignore:Glyph")
def test_print_is_large_enough(make: Any) -> None:
    figure = picture_figure(make())
    assert min(text.get_fontsize() for text in _texts(figure)) >= FONT_PT >= 9
    width, height = (2.54 * inches for inches in figure.get_size_inches())
    assert width == pytest.approx(WIDTH_CM)
    if make in TRENDS.values():
        assert height >= HEIGHT_CM - 1e-9


def luminance(colour: str) -> float:
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """W3C, Web Content Accessibility Guidelines 2.2: contrast ratio and relative luminance."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_formula_is_that_of_wcag() -> None:
    assert contrast("#000000", WHITE) == pytest.approx(21)
    assert contrast("#777777", WHITE) == pytest.approx(4.48, abs=0.01)  # just fails, as is known


def test_every_colour_stands_off_from_white() -> None:
    for name, colour in TEXT_COLOURS.items():
        assert contrast(colour, WHITE) >= 4.5, name  # 1.4.3, contrast (minimum)
    for name, colour in LINE_COLOURS.items():
        assert contrast(colour, WHITE) >= 3, name  # 1.4.11, non-text contrast


def test_no_other_colours_are_drawn() -> None:
    known = {*TEXT_COLOURS.values(), *LINE_COLOURS.values(), "#e3e3e3", "#ececec", WHITE}
    for picture in (cases.crowded(), cases.yard()):
        drawn = set(re.findall(r"#[0-9a-f]{6}\b", picture_bytes(picture, "svg").decode()))
        # Black is what SVG means where nothing is said; matplotlib writes it for tick labels.
        assert drawn - known <= {"#000000"}


def test_levels_differ_by_more_than_colour() -> None:
    axes = picture_figure(cases.growing()).axes[0]
    act, watch = (
        next(line for line in axes.lines if line.get_gid() == kind) for kind in ("act", "watch")
    )
    assert act.get_linestyle() != watch.get_linestyle()
    assert act.get_linewidth() > watch.get_linewidth()
    shapes = [line.get_marker() for line in picture_figure(cases.crowded()).axes[0].lines
              if line.get_gid() == "count"]  # fmt: skip
    assert shapes == ["o", "o", "s", "o", "o"]


@pytest.mark.parametrize("kind", ["png", "svg"])
def test_the_same_picture_gives_the_same_bytes(kind: Any) -> None:
    program = (
        "import sys; from tests.picture_cases import *; "
        "from fieldnotes.pictures.drawn import picture_bytes; "
        f"sys.stdout.buffer.write(picture_bytes(crowded(), {kind!r}))"
    )
    root = Path(__file__).parents[1]
    elsewhere = [
        subprocess.run(
            [sys.executable, "-c", program], capture_output=True, check=True, cwd=root,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(root), "HOME": str(root)}, timeout=120,
        ).stdout
        for seed in ("1", "2")
    ]  # fmt: skip
    assert elsewhere[0] == elsewhere[1] == picture_bytes(cases.crowded(), kind)
    assert len(elsewhere[0]) > 10_000
    assert b"dc:date" not in elsewhere[0]


def test_files_are_written_by_their_ending(tmp_path: Path) -> None:
    write_picture(cases.growing(), tmp_path / "a.PNG")
    with Image.open(tmp_path / "a.PNG") as image:
        assert image.format == "PNG"
        assert "1 July 2026: 2.3" in image.info["Description"]
        assert image.width == pytest.approx(WIDTH_CM / 2.54 * 200, abs=1)
    write_picture(cases.growing(), tmp_path / "a.svg")
    assert ET.parse(tmp_path / "a.svg").getroot().tag == f"{SVG}svg"
    for name in ("a.gif", "a", "a.pdf"):
        with pytest.raises(InputError, match=r"\.png or \.svg"):
            write_picture(cases.growing(), tmp_path / name)


def test_without_matplotlib_one_line_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    for picture in (cases.growing(), cases.yard()):
        with pytest.raises(ExtraError) as caught:
            picture_bytes(picture, "png")
        assert str(caught.value) == MISSING
    assert "pip install 'fieldnotes[report]'" in MISSING
    assert "\n" not in MISSING


def test_a_range_far_off_the_scale_is_cut_and_marked() -> None:
    wide = Trend("7", (Point(D(2026, 7, 1), adults(1, 0.1, 60)),))
    axes = picture_figure(wide).axes[0]
    assert axes.get_ylim()[1] < 10
    assert [line for line in axes.lines if line.get_marker() == "^"]
    yard = YardDots("Orchard", (Dot("7", adults(1, 0.1, 60)), Dot("8", adults(2, 1, 3))))
    across = picture_figure(yard).axes[0]
    assert across.get_xlim()[1] < 10
    assert len([line for line in across.lines if line.get_marker() == ">"]) == 1


def test_a_mark_or_treatment_outside_the_counts_is_on_the_picture() -> None:
    late, early = D(2026, 9, 1), D(2026, 5, 1)
    trend = Trend("7", (POINT,), treated=(Treated("thymol", last=early),), marks=(Mark("x", late),))
    assert (trend.first, trend.last) == (early, late)
    first, last = picture_figure(trend).axes[0].get_xlim()
    assert first < early.toordinal() < late.toordinal() < last
    assert "thymol until 1 May" in words_of(svg(trend))
