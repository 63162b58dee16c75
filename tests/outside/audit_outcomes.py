"""The outcome audit of the invented year, counted a second time.

The table of rows (`--format csv`) and the case files themselves go in; lifelines and statsmodels give the
curve and the intervals; the definitions are written here again, from the page's own words. What the program
counted (`--format json`) must agree.
"""

import csv
import datetime
import io
import json
import os
import pathlib
import subprocess

import lifelines
import pytest
import yaml
from statsmodels.stats.proportion import proportion_confint

ROOT = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = pathlib.Path(os.environ.get("UNGUIS", ROOT / "target" / "release" / "unguis"))
YEAR = ROOT / "cases" / "year"
TODAY = datetime.date(2026, 11, 25)


def audit(tmp, form, *more):
    done = subprocess.run(
        [PROGRAM, "audit", YEAR, "--today", TODAY.isoformat(), "--out", tmp, "--format", form, *more],
        capture_output=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr.decode()
    return done.stdout.decode()


@pytest.fixture(scope="module")
def counted(tmp_path_factory):
    return json.loads(audit(tmp_path_factory.mktemp("out"), "json"))["rows"]


@pytest.fixture(scope="module")
def table(tmp_path_factory):
    text = audit(tmp_path_factory.mktemp("out"), "csv")
    assert "\r\n" in text
    return list(csv.DictReader(io.StringIO(text)))


@pytest.fixture(scope="module")
def cases():
    files = sorted(YEAR.glob("LFY-*.yaml"))
    read = [yaml.safe_load(file.read_text(encoding="utf-8")) for file in files]
    for case in read:
        for visit in case.get("visits") or []:
            visit["on"] = visit.pop(True)  # YAML 1.1, which this library reads, takes `on` for true
    return read


def toes_of(cases):
    """Each toe with the day of surgery and what was seen of it, (day, visit, toe) in order."""
    for case in cases:
        surgery = case["operation"]["date"]
        visits = sorted(case.get("visits") or [], key=lambda visit: visit["on"])
        for toe, done in case["operation"]["toes"].items():
            seen = [
                ((visit["on"] - surgery).days, visit, visit["toes"][toe])
                for visit in visits
                if toe in (visit.get("toes") or {})
            ]
            yield case, toe, done, surgery, seen


def test_every_toe_has_a_row_and_no_name_is_in_it(table, cases):
    expected = [(case["reference"], toe) for case, toe, *_ in toes_of(cases)]
    assert sorted((row["reference"], row["toe"]) for row in table) == sorted(expected)
    text = " ".join(" ".join(row.values()) for row in table)
    for case in cases:
        assert case["patient"]["family"] not in text


def healed_day(seen, surgery):
    healed = None
    for day, visit, toe in seen:
        if toe.get("healed") is True and healed is None:
            healed = (toe.get("healed_on", visit["on"]) - surgery).days
        elif toe.get("healed") is False:
            healed = None
    return healed


def test_days_of_healing_are_those_of_the_case_files(table, cases):
    days = {(row["reference"], row["toe"]): row["healed_day"] for row in table}
    for case, toe, _, surgery, seen in toes_of(cases):
        healed = healed_day(seen, surgery)
        assert days[case["reference"], toe] == ("" if healed is None else str(healed))


def question(counted, key):
    return next(one for one in counted["questions"] if one["question"] == key)


def test_infection_is_counted_by_the_words_of_the_page(counted, cases):
    """An antibiotic, pus, or a judgement by day 30; not so only if healed or seen on day 30 or later."""
    so = not_so = unknown = early = 0
    for case, toe, _, surgery, seen in toes_of(cases):
        infected = any(
            day <= 30
            and (
                toe.get("infected") is True
                or "pus" in toe.get("signs", [])
                or ("antibiotic" in visit and toe.get("infected") is not False)
            )
            for day, visit, toe in seen
        )
        if (TODAY - surgery).days <= 30:
            early += 1
        elif infected:
            so += 1
        elif healed_day(seen, surgery) is not None or any(day >= 30 for day, *_ in seen):
            not_so += 1
        else:
            unknown += 1
    line = question(counted, "infection")
    assert (line["so"], line["not_so"], line["too_early"]) == (so, not_so, early)
    assert line["not_recorded"] + line["lost"] == unknown
    assert so > 0 and unknown > 0, "the year has both"


def test_healed_by_eight_weeks_is_counted_by_the_words_of_the_page(counted, cases):
    so = not_so = 0
    for case, toe, _, surgery, seen in toes_of(cases):
        if (TODAY - surgery).days < 56:
            continue
        healed = healed_day(seen, surgery)
        late = any(day >= 56 and toe.get("healed") is False for day, _, toe in seen)
        if healed is not None:
            so, not_so = (so + 1, not_so) if healed <= 56 else (so, not_so + 1)
        elif late:
            not_so += 1
    line = question(counted, "healed")
    assert (line["so"], line["not_so"]) == (so, not_so)
    assert so > 0 and not_so > 0


def test_intervals_are_those_of_statsmodels(counted):
    for line in counted["questions"]:
        total = line["so"] + line["not_so"]
        if total == 0:
            assert line["share"] is None and line["interval"] is None
            continue
        low, high = proportion_confint(line["so"], total, method="wilson")
        assert float(line["share"]) == pytest.approx(line["so"] / total, abs=1e-6)
        assert [float(end) for end in line["interval"]] == pytest.approx([low, high], abs=2e-6)


def test_the_curve_of_healing_is_that_of_lifelines(counted, table):
    durations, events = [], []
    for row in table:
        healed = row["healed_day"] != ""
        durations.append(int(row["healed_day"] if healed else row["last_recorded_day"] or 0))
        events.append(healed)
    fitted = lifelines.KaplanMeierFitter().fit(durations, events)
    steps = counted["healing"]["steps"]
    assert sum(step["events"] for step in steps) == sum(events)
    for step in steps:
        survival = step["estimate"]["survival"]
        assert survival == pytest.approx(float(fitted.predict(step["time"])), abs=1e-9)
        assert step["at_risk"] == int(fitted.event_table.loc[step["time"], "at_risk"])
    assert counted["median_days_to_healing"] == fitted.median_survival_time_


def test_the_columns_of_answers_add_up_to_the_counts(counted, table):
    for line in counted["questions"]:
        column = [row["counts_" + line["question"].replace("-", "_")] for row in table]
        for answer, key in [
            ("yes", "so"),
            ("no", "not_so"),
            ("not recorded", "not_recorded"),
            ("lost", "lost"),
            ("too early", "too_early"),
        ]:
            assert column.count(answer) == line[key], (line["question"], answer)


def test_nothing_leaves_the_clinic_as_rows(tmp_path):
    done = subprocess.run(
        [PROGRAM, "audit", YEAR, "--today", TODAY.isoformat(), "--out", tmp_path, "--format", "csv", "--outside"],
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode != 0 and done.stdout == ""
