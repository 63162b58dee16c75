"""The statistics of the program against lifelines, statsmodels, SciPy and NumPy, on random cohorts from a
fixed seed and on published data that come with those packages.

Run as the other files here; `UNGUIS` names another program than `target/release/unguis`. All questions go
to the program at once. Nothing is skipped: where a library has no answer, that it has none is asserted.
"""

import csv
import decimal
import fractions
import hashlib
import itertools
import json
import math
import os
import pathlib
import random
import statistics
import subprocess

import lifelines
import lifelines.statistics
import lifelines.utils
import numpy
import pytest
import scipy.stats
import statsmodels
from statsmodels.duration.survfunc import SurvfuncRight, survdiff
from statsmodels.stats.proportion import proportion_confint

ROOT = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = pathlib.Path(os.environ.get("UNGUIS", ROOT / "target" / "release" / "unguis"))

HALF = fractions.Fraction(1, 2)
# Our interval has z = 1.959964, the libraries take more digits of it.
CLOSE = {"rel": 1e-7, "abs": 1e-7}
EXACT = {"rel": 1e-10, "abs": 1e-12}


def ask(questions):
    """The program's answers, one for each question."""
    if not PROGRAM.is_file():
        pytest.fail(f"{PROGRAM} is not there: run `cargo build --release` first")
    done = subprocess.run(
        [PROGRAM, "dev", "statistics"],
        input=json.dumps(questions),
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    answers = json.loads(done.stdout)
    assert len(answers) == len(questions)
    return answers


def near(value, **how):
    return pytest.approx(value, **(how or EXACT))


# --- random cohorts ------------------------------------------------------------------------------

COUNT = 260
# Share of events, longest time; None of a share: all censored, or all events.
KINDS = {
    "usual": (0.7, 400),
    "ties": (0.6, 6),
    "heavy-censoring": (0.08, 120),
    "all-censored": (0.0, 60),
    "all-events": (1.0, 90),
    "halves": (1.0, 12),
    "one": (0.5, 30),
    "time-0": (0.5, 3),
}


def cohorts():
    """Name -> list of (time, happened)."""
    rng = random.Random(20261127)
    made = {}
    for number, kind in zip(range(COUNT), itertools.cycle(KINDS)):
        events, longest = KINDS[kind]
        size = {"one": 1, "halves": 2 * rng.randint(1, 8)}.get(kind, rng.randint(1, 300))
        first = 0 if kind == "time-0" else 1
        rows = [(rng.randint(first, longest), rng.random() < events) for _ in range(size)]
        if kind == "time-0":
            rows.append((0, True))
        made[f"{number:03}-{kind}-{len(rows)}"] = rows
    return made


COHORTS = cohorts()
ASKED_FOR = [0, 1, 2, 7, 28, 42, 90, 365]


@pytest.fixture(scope="module")
def curves():
    """Name of a cohort -> the program's curve of it."""
    questions = [
        {"survival": {"followed": rows, "at": ASKED_FOR}} for rows in COHORTS.values()
    ]
    return dict(zip(COHORTS, ask(questions)))


def split(rows):
    times, happened = zip(*rows)
    return numpy.array(times), numpy.array(happened)


def exact_curve(rows):
    """(time, at risk, events, censored, S as a fraction), from the definition."""
    survival = fractions.Fraction(1)
    for time in sorted({time for time, _ in rows}):
        at_risk = sum(1 for other, _ in rows if other >= time)
        events = sum(1 for other, happened in rows if other == time and happened)
        censored = sum(1 for other, happened in rows if other == time and not happened)
        survival *= fractions.Fraction(at_risk - events, at_risk)
        yield time, at_risk, events, censored, survival


def test_the_cohorts_are_what_they_are_meant_to_be():
    assert len(COHORTS) == COUNT
    sizes = [len(rows) for rows in COHORTS.values()]
    assert min(sizes) == 1 and max(sizes) > 280
    assert any(not any(happened for _, happened in rows) for rows in COHORTS.values())
    assert sum(1 for rows in COHORTS.values() if (0, True) in rows) > 20
    halves = [
        name
        for name, rows in COHORTS.items()
        if any(survival == HALF for *_, survival in exact_curve(rows))
    ]
    assert len(halves) > 20, "S is exactly a half in too few of them"


@pytest.mark.parametrize("name", COHORTS)
def test_survival_by_definition(curves, name):
    ours = curves[name]["steps"]
    expected = list(exact_curve(COHORTS[name]))
    assert [
        (step["time"], step["at_risk"], step["events"], step["censored"]) for step in ours
    ] == [row[:4] for row in expected]
    for step, (*_, survival) in zip(ours, expected):
        assert step["estimate"]["survival"] == near(float(survival))


@pytest.mark.parametrize("name", COHORTS)
def test_survival_by_lifelines(curves, name):
    rows = COHORTS[name]
    times, happened = split(rows)
    fitter = lifelines.KaplanMeierFitter().fit(times, happened)
    table = fitter.event_table
    low, high = (fitter.confidence_interval_[column] for column in fitter.confidence_interval_)
    for step in curves[name]["steps"]:
        time, estimate = step["time"], step["estimate"]
        assert step["at_risk"] == table.at_risk[time]
        assert step["events"] == table.observed[time]
        assert step["censored"] == table.censored[time]
        if (0, True) in rows:
            # lifelines loses what happens at time 0: nobody has entered before it.
            continue
        assert estimate["survival"] == near(fitter.survival_function_.iloc[:, 0][time])
        if 0 < estimate["survival"] < 1 - 1e-12:
            assert estimate["interval"]["low"] == near(low[time], **CLOSE)
            assert estimate["interval"]["high"] == near(high[time], **CLOSE)
        else:
            assert estimate["interval"] is None


@pytest.mark.parametrize("name", COHORTS)
def test_survival_by_statsmodels(curves, name):
    theirs = SurvfuncRight(*split(COHORTS[name]))
    ours = {step["time"]: step for step in curves[name]["steps"] if step["events"] > 0}
    their_rows = [
        row
        for row in zip(
            theirs.surv_times, theirs.n_risk, theirs.n_events, theirs.surv_prob, theirs.surv_prob_se
        )
        if row[2] > 0
    ]
    assert list(ours) == [row[0] for row in their_rows]
    for time, at_risk, events, survival, error in their_rows:
        step = ours[time]
        assert (step["at_risk"], step["events"]) == (at_risk, events)
        assert step["estimate"]["survival"] == near(survival)
        if survival > 1e-12:
            assert step["estimate"]["standard_error"] == near(error, rel=1e-9)
        else:
            assert step["estimate"]["standard_error"] is None
            assert step["estimate"]["survival"] == 0


@pytest.mark.parametrize("name", COHORTS)
def test_asked_times(curves, name):
    rows = COHORTS[name]
    expected = list(exact_curve(rows))
    for time, estimate, at_risk in zip(
        ASKED_FOR, curves[name]["at"], curves[name]["at_risk"]
    ):
        assert at_risk == sum(1 for other, _ in rows if other >= time)
        passed = [survival for other, *_, survival in expected if other <= time]
        survival = passed[-1] if passed else 1
        if time > expected[-1][0] and survival > 0:
            assert estimate is None
        else:
            assert estimate["survival"] == near(float(survival))


@pytest.mark.parametrize("name", COHORTS)
def test_median(curves, name):
    rows = COHORTS[name]
    exact = list(exact_curve(rows))
    ours = curves[name]["median"]
    assert ours == next((time for time, *_, survival in exact if survival <= HALF), None)

    # Where S is exactly a half, the next convention takes the next time with events.
    strict = next((time for time, *_, survival in exact if survival < HALF), None)
    times, happened = split(rows)
    # statsmodels compares floating point, so at a half either answer may come.
    theirs = SurvfuncRight(times, happened).quantile(0.5)
    assert (None if numpy.isnan(theirs) else theirs) in {ours, strict}
    if (0, True) not in rows:
        fitter = lifelines.KaplanMeierFitter().fit(times, happened)
        theirs = fitter.median_survival_time_
        assert (None if math.isinf(theirs) else theirs) in {ours, strict}
        limits = lifelines.utils.median_survival_times(fitter.confidence_interval_)
        # Once S is 0 its interval has no width; lifelines takes that for a limit reached.
        nobody_left = exact[-1][0] if exact[-1][-1] == 0 else math.inf
        theirs = [None if limit in (math.inf, nobody_left) else limit for limit in limits.to_numpy()[0]]
        assert curves[name]["median_interval"] == theirs


def test_log_rank():
    names = list(COHORTS)
    pairs = [(one, other) for one, other in zip(names, names[len(KINDS) + 3 :] + names)]
    pairs += [(one, other) for one, other in zip(names, names[len(KINDS) :])]
    answers = ask([{"log_rank": [COHORTS[one], COHORTS[other]]} for one, other in pairs])
    compared = 0
    for (one, other), ours in zip(pairs, answers):
        first, second = split(COHORTS[one]), split(COHORTS[other])
        assert ours["observed"] == [int(first[1].sum()), int(second[1].sum())]
        assert sum(ours["expected"]) == near(sum(ours["observed"]), abs=1e-8)
        if ours["chi_squared"] is None:
            assert any_variance(COHORTS[one], COHORTS[other]) == 0
            continue
        theirs, _ = survdiff(
            numpy.concatenate([first[0], second[0]]),
            numpy.concatenate([first[1], second[1]]).astype(int),
            numpy.array([0] * len(first[0]) + [1] * len(second[0])),
        )
        assert ours["chi_squared"] == near(theirs, rel=1e-7, abs=1e-9), (one, other)
        theirs = lifelines.statistics.logrank_test(first[0], second[0], first[1], second[1])
        assert ours["chi_squared"] == near(theirs.test_statistic, rel=1e-7, abs=1e-9), (one, other)
        compared += 1
    assert compared > 300


def any_variance(first, second):
    """Times at which something happened while both groups were at risk and not all had it."""
    found = 0
    for time in {time for time, happened in first + second if happened}:
        at_risk = [sum(1 for other, _ in group if other >= time) for group in (first, second)]
        events = sum(1 for other, happened in first + second if other == time and happened)
        found += all(at_risk) and events < sum(at_risk)
    return found


# --- shares --------------------------------------------------------------------------------------


def shares():
    rng = random.Random(7)
    small = [(count, of) for of in range(1, 41) for count in range(of + 1)]
    large = [(rng.randint(0, of), of) for of in (rng.randint(41, 20_000) for _ in range(400))]
    return small + large + [(0, 10_000), (10_000, 10_000)]


def test_shares():
    asked = shares()
    for (count, of), ours in zip(asked, ask([{"proportion": pair} for pair in asked])):
        low, high = proportion_confint(count, of, alpha=0.05, method="wilson")
        assert ours["share"] == near(count / of)
        assert ours["wilson"]["low"] == near(low, **CLOSE), (count, of)
        assert ours["wilson"]["high"] == near(high, **CLOSE), (count, of)
        theirs = scipy.stats.binomtest(count, of).proportion_ci(method="wilson")
        assert (ours["wilson"]["low"], ours["wilson"]["high"]) == near(tuple(theirs), **CLOSE)
        exact = decimal.Decimal(1000 * count) / of
        assert ours["percent_tenths"] == exact.to_integral_value(decimal.ROUND_HALF_UP)
        if count == 0:
            # Clopper and Pearson, one-sided.
            limit = scipy.stats.beta.ppf(0.95, 1, of)
            assert ours["upper_limit_of_none"] == near(limit, rel=1e-9)
            test = scipy.stats.binomtest(0, of, alternative="less")
            assert limit == near(test.proportion_ci(0.95, method="exact").high, rel=1e-6)
        else:
            assert ours["upper_limit_of_none"] is None
    (of_none, impossible) = ask([{"proportion": [0, 0]}, {"proportion": [2, 1]}])
    assert set(of_none.values()) == {None}
    assert impossible is None


# --- run charts ----------------------------------------------------------------------------------


def test_limits_of_run_charts():
    asked = list(range(0, 140))
    for useful, ours in zip(asked, ask([{"limits": useful} for useful in asked])):
        if useful < 10 or useful > 124:
            assert ours is None
            continue
        assert ours == {
            "longest_run": round(math.log2(useful) + 3),
            "crossings": scipy.stats.binom.ppf(0.05, useful - 1, 0.5),
        }


def months():
    """Series of (numerator, denominator), None for a gap."""
    rng = random.Random(11)
    for number in range(300):
        length = rng.randint(1, 60)
        largest = rng.choice([2, 5, 40])
        drift = rng.choice([0, 0, 1, 3])
        yield [
            None
            if rng.random() < 0.05
            else (rng.randint(0, largest) + drift * (at > length // 2), rng.randint(1, largest))
            for at in range(length)
        ]


def test_run_charts():
    asked = list(months())
    signals = 0
    for points, ours in zip(asked, ask([{"run_chart": points} for points in asked])):
        values = [point and fractions.Fraction(*point) for point in points]
        there = [value for value in values if value is not None]
        if not there:
            assert ours is None
            continue
        # Of fractions, Python's median is exact.
        median = statistics.median(there)
        assert ours["median"] == near(float(median))
        sides = [
            None if value is None else "above" if value > median else "below" if value < median else "on"
            for value in values
        ]
        assert ours["sides"] == sides
        useful = [side for side in sides if side in ("above", "below")]
        runs = [len(list(run)) for _, run in itertools.groupby(useful)]
        assert ours["useful"] == len(useful)
        assert ours["longest_run"] == max(runs, default=0)
        assert ours["crossings"] == max(len(runs) - 1, 0)
        if len(useful) < 10:
            assert ours["signals"] is None and ours["marked"] == []
            continue
        longest = round(math.log2(len(useful)) + 3)
        fewest = scipy.stats.binom.ppf(0.05, len(useful) - 1, 0.5)
        assert ours["signals"] == (max(runs) > longest or len(runs) - 1 < fewest)
        assert len(ours["marked"]) == sum(run > longest for run in runs)
        places = [at for at, side in enumerate(sides) if side in ("above", "below")]
        ends = list(itertools.accumulate(runs))
        assert ours["marked"] == [
            [places[end - run], places[end - 1]] for run, end in zip(runs, ends) if run > longest
        ]
        signals += ours["signals"]
    assert signals > 20


# --- quantiles, rounding, small numbers ----------------------------------------------------------


def test_quartiles():
    rng = random.Random(13)
    asked = [
        [rng.randint(0, rng.choice([3, 60, 4_000_000])) for _ in range(rng.randint(1, 120))]
        for _ in range(300)
    ]
    for numbers, ours in zip(asked, ask([{"summary": numbers} for numbers in asked])):
        assert ours["count"] == len(numbers)
        assert ours["range"] == [min(numbers), max(numbers)]
        theirs = numpy.quantile(numbers, [0.25, 0.5, 0.75], method="linear")
        assert [float(quartile) for quartile in ours["quartiles"]] == near(list(theirs))
        theirs = scipy.stats.mstats.mquantiles(numbers, [0.25, 0.5, 0.75], alphap=1, betap=1)
        assert [float(quartile) for quartile in ours["quartiles"]] == near(list(theirs))
        assert float(ours["quartiles"][1]) == statistics.median(numbers)
    assert ask([{"summary": []}]) == [None]


def test_a_half_is_rounded_up():
    # Every number of up to four places, each as the floating point nearest to it.
    asked = [(numerator / 10_000, digits) for numerator in range(0, 10_001, 5) for digits in (1, 2, 3)]
    for (value, digits), ours in zip(asked, ask([{"rounded": pair} for pair in asked])):
        exact = decimal.Decimal(str(value)).quantize(
            decimal.Decimal(1).scaleb(-digits), decimal.ROUND_HALF_UP
        )
        assert ours == str(exact), value


def test_small_numbers():
    answers = ask([{"small_number": count} for count in range(1000)])
    assert answers[:14] == ["0"] + ["*"] * 7 + ["10"] * 5 + ["15"]
    for count, ours in enumerate(answers[8:], start=8):
        assert ours == str(5 * round(count / 5))


# --- published data that come with the packages --------------------------------------------------


def package_file(package, name):
    return pathlib.Path(package.__file__).parent / "datasets" / name


def table(package, name, **how):
    with package_file(package, name).open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file, **how))


def gehan(group):
    path = package_file(lifelines, "gehan.dat")
    assert hashlib.sha256(path.read_bytes()).hexdigest().startswith("058d07a86e16dcf6")
    rows = [line.split() for line in path.read_text(encoding="utf-8").splitlines()]
    return [(int(weeks), event == "1") for which, weeks, event in rows if which == group]


def rows_of(package, name, time, event, happened="1", where=lambda row: True, **how):
    return [
        (int(float(row[time])), row[event] in happened)
        for row in table(package, name, **how)
        if where(row)
    ]


def curve(rows, at=()):
    return ask([{"survival": {"followed": rows, "at": list(at)}}])[0]


def counts(rows):
    return len(rows), sum(happened for _, happened in rows)


def places(values, digits=6):
    return [f"{value:.{digits}f}" for value in values]


def test_freireich():
    """Freireich and others, Blood 1963;21:699, as `gehan.dat`; 2 is treated."""
    treated, placebo = gehan("2"), gehan("1")
    assert (counts(treated), counts(placebo)) == ((21, 9), (21, 21))
    ours = curve(treated, [6, 23])
    steps = [step for step in ours["steps"] if step["events"]]
    assert [step["time"] for step in steps] == [6, 7, 10, 13, 16, 22, 23]
    assert places(step["estimate"]["survival"] for step in steps) == (
        "0.857143 0.806723 0.752941 0.690196 0.627451 0.537815 0.448179".split()
    )
    assert places(step["estimate"]["standard_error"] for step in steps) == (
        "0.076360 0.086935 0.096350 0.106815 0.114054 0.128234 0.134591".split()
    )
    intervals = [estimate["interval"] for estimate in ours["at"]]
    assert [places((interval["low"], interval["high"])) for interval in intervals] == [
        ["0.619718", "0.951552"],
        ["0.188052", "0.680143"],
    ]
    assert (ours["median"], curve(placebo)["median"]) == (23, 8)
    (test,) = ask([{"log_rank": [treated, placebo]}])
    assert places([test["chi_squared"]]) == ["16.792941"]


def test_freireich_in_another_file():
    """The same 42 people as `anderson.csv`; Rx 0 is treated."""
    for group, same in (("0", gehan("2")), ("1", gehan("1"))):
        rows = rows_of(
            lifelines,
            "anderson.csv",
            "t",
            "status",
            where=lambda row: row["Rx"] == group,  # noqa: B023, used at once
            delimiter=" ",
        )
        assert sorted(rows) == sorted(same)


def test_lymphoma():
    """`lymphoma.csv`: the column Censor says 1 where it happened."""
    stages = [
        rows_of(
            lifelines,
            "lymphoma.csv",
            "Time",
            "Censor",
            where=lambda row: row["Stage_group"] == stage,  # noqa: B023, used at once
        )
        for stage in "12"
    ]
    assert [counts(rows) for rows in stages] == [(19, 8), (61, 46)]
    first, second = (curve(rows, [253]) for rows in stages)
    assert (first["median"], second["median"]) == (None, 82)
    assert places([first["at"][0]["survival"]]) == ["0.524696"]


def test_psychiatric_patients():
    """Two are last seen at 35, when it happens to one: they are still at risk."""
    rows = rows_of(lifelines, "psychiatric_patients.csv", "T", "C")
    assert counts(rows) == (26, 14)
    ours = curve(rows, [35, 40])
    assert ours["median"] == 35
    (step,) = (step for step in ours["steps"] if step["time"] == 35)
    assert (step["at_risk"], step["censored"]) == (7, 2)
    assert places([ours["at"][0]["survival"]]) == ["0.449550"]
    assert ours["at"][1]["survival"] == 0


def test_waltons():
    """`waltons_dataset.csv`; the median of all, 56, is in the documentation of lifelines."""
    groups = {
        group: rows_of(
            lifelines,
            "waltons_dataset.csv",
            "T",
            "E",
            where=lambda row: row["group"] == group,  # noqa: B023, used at once
        )
        for group in ("miR-137", "control")
    }
    both = groups["miR-137"] + groups["control"]
    assert [counts(rows) for rows in (both, *groups.values())] == [(163, 156), (34, 34), (129, 122)]
    assert [curve(rows)["median"] for rows in (both, *groups.values())] == [56, 26, 58]
    at = curve(both, [20, 40, 60])["at"]
    assert places(estimate["survival"] for estimate in at) == "0.913650 0.777837 0.311524".split()
    (test,) = ask([{"log_rank": [groups["miR-137"], groups["control"]]}])
    assert places([test["chi_squared"]]) == ["122.249126"]


def test_g3():
    """`g3.csv`: in the control group S(32) is exactly a half, and both libraries say 34."""
    groups = {
        group: rows_of(
            lifelines,
            "g3.csv",
            "time",
            "event",
            happened=("True",),
            where=lambda row: row["group"] == group,  # noqa: B023, used at once
        )
        for group in ("RIT", "Control")
    }
    assert [counts(rows) for rows in groups.values()] == [(11, 2), (6, 4)]
    rit, control = (curve(rows, [53]) for rows in groups.values())
    assert (rit["median"], control["median"]) == (None, 32)
    assert places([rit["at"][0]["survival"]]) == ["0.779221"]
    times, happened = split(groups["Control"])
    assert lifelines.KaplanMeierFitter().fit(times, happened).median_survival_time_ == 34
    assert SurvfuncRight(times, happened).quantile(0.5) == 34


def test_heart_and_lung():
    """`heart.csv` of statsmodels, where censors says 1 where it happened, and `lung.csv` of lifelines."""
    heart = rows_of(statsmodels, "heart/heart.csv", "survival", "censors", happened=("1.000000",))
    lung = rows_of(lifelines, "lung.csv", "time", "status")
    assert [counts(rows) for rows in (heart, lung)] == [(69, 45), (228, 165)]
    assert [curve(rows)["median"] for rows in (heart, lung)] == [228, 310]
