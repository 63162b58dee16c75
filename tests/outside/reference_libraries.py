"""Our tables and the built program against libraries that others wrote.

Run with `python -m pytest tests/outside` after `cargo build --release` and
`pip install -r tests/outside/requirements.txt`. Nothing here is skipped: a missing program fails.
`UNGUIS` names another program than `target/release/unguis`.
"""

import datetime
import json
import os
import pathlib
import random
import re
import subprocess

import holidays
import jsonschema
import pytest
import stdnum.gb.nhs
import yaml

ROOT = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = pathlib.Path(os.environ.get("UNGUIS", ROOT / "target" / "release" / "unguis"))
YEARS = range(2025, 2029)


class PlainLoader(yaml.SafeLoader):
    """YAML 1.2 as the program reads it: dates stay text, only true and false are booleans."""


PlainLoader.yaml_implicit_resolvers = {}
for tag, pattern, first in [
    ("bool", r"^(?:true|false)$", "tf"),
    ("null", r"^(?:~|null|)$", ["~", "n", ""]),
    ("int", r"^[-+]?[0-9]+$", "-+0123456789"),
    ("float", r"^[-+]?[0-9]+\.[0-9]+$", "-+0123456789"),
]:
    PlainLoader.add_implicit_resolver(
        f"tag:yaml.org,2002:{tag}", re.compile(pattern), list(first)
    )


def load(path):
    return yaml.load(path.read_text(encoding="utf-8"), Loader=PlainLoader)


def unguis(*args, stdin=""):
    """Runs the program and gives its standard output."""
    if not PROGRAM.is_file():
        pytest.fail(f"{PROGRAM} is not there: run `cargo build --release` first")
    done = subprocess.run(
        [PROGRAM, *args], input=stdin, capture_output=True, text=True, check=False, timeout=120
    )
    assert done.returncode == 0, f"unguis {args}: {done.stderr}"
    return done.stdout


# --- bank holidays -------------------------------------------------------------------------------


def our_holidays():
    """Division -> every day on which a clinic is taken to be closed, feasts on weekends included."""
    days = {}
    for row in load(ROOT / "src" / "clinical" / "tables" / "bank_holidays.yaml"):
        for key in ("days", "weekend"):
            for text in row.get(key, {}):
                days.setdefault(row["division"], set()).add(datetime.date.fromisoformat(text))
    return days


@pytest.mark.parametrize(
    ("division", "subdivision"),
    [
        ("england-and-wales", "ENG"),
        ("england-and-wales", "WLS"),
        ("scotland", "SCT"),
        ("northern-ireland", "NIR"),
    ],
)
def test_bank_holidays_agree_on_every_day(division, subdivision):
    ours = our_holidays()[division]
    theirs = holidays.country_holidays("GB", subdiv=subdivision, years=YEARS)
    day, last = datetime.date(YEARS[0], 1, 1), datetime.date(YEARS[-1], 12, 31)
    compared, different = 0, []
    while day <= last:
        if (day in ours) != (day in theirs):
            different.append((day.isoformat(), theirs.get(day, "an ordinary day there")))
        compared += 1
        day += datetime.timedelta(days=1)
    assert compared == 4 * 365 + 1
    assert different == []


def test_bank_holidays_hold_these_divisions_and_years():
    ours = our_holidays()
    assert sorted(ours) == ["england-and-wales", "northern-ireland", "scotland"]
    for days in ours.values():
        assert sorted({day.year for day in days}) == list(YEARS)


@pytest.mark.parametrize("row", load(pathlib.Path(__file__).with_name("working_days.yaml")), ids=lambda row: str(row["input"]))
def test_rows_of_working_days_agree(row):
    """The rows were worked out by hand; here the package works them out."""
    subdivision = {"england-and-wales": "ENG", "scotland": "SCT", "northern-ireland": "NIR"}
    closed = holidays.country_holidays("GB", subdiv=subdivision[row["input"]["division"]], years=YEARS)
    day = datetime.date.fromisoformat(row["input"]["from"])
    while day.weekday() > 4 or day in closed:
        day += datetime.timedelta(days=1)
    assert day.isoformat() == row["expected"]


# --- NHS numbers ---------------------------------------------------------------------------------


def answers(numbers):
    """What the program says of each number."""
    lines = unguis("dev", "nhs-numbers", stdin="".join(f"{number}\n" for number in numbers)).splitlines()
    assert len(lines) == len(numbers)
    said = {}
    for number, line in zip(numbers, lines):
        printed, word = line.rsplit(" ", 1)
        assert printed == number and word in ("valid", "invalid"), line
        said[number] = word == "valid"
    return said


def test_ten_thousand_nhs_numbers_agree():
    chance = random.Random(20261124)
    numbers = [f"{chance.randrange(10**10):010}" for _ in range(10_000)]
    said = answers(numbers)
    different = [number for number in numbers if said[number] != stdnum.gb.nhs.is_valid(number)]
    assert different == []
    assert 500 < sum(said.values()) < 1500, "chance should give about one valid number in eleven"


def test_ten_thousand_nhs_numbers_made_there_are_valid_here_and_their_neighbours_are_not():
    chance = random.Random(20261125)
    valid, neighbours = [], []
    while len(valid) < 10_000:
        nine = f"{chance.randrange(10**9):09}"
        fitting = [f"{nine}{digit}" for digit in range(10) if stdnum.gb.nhs.is_valid(f"{nine}{digit}")]
        if not fitting or len(set(fitting[0])) == 1:
            continue
        valid += fitting
        neighbours.append(f"{nine}{(int(fitting[0][-1]) + chance.randrange(1, 10)) % 10}")
    assert len(valid) == len(neighbours) == 10_000
    said = answers(valid)
    assert [number for number in valid if not said[number]] == []
    said = answers(neighbours)
    assert [number for number in neighbours if said[number]] == []


def test_ten_equal_digits_are_the_one_known_difference():
    """They pass modulus 11 and the library takes them; we refuse them (healthanalyst, 2011)."""
    numbers = [str(digit) * 10 for digit in range(10)]
    assert not any(answers(numbers).values())
    assert any(stdnum.gb.nhs.is_valid(number) for number in numbers)


# --- JSON Schema ---------------------------------------------------------------------------------


def validator(which):
    schema = json.loads(unguis("schema", which))
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def problems(which, value):
    found = validator(which).iter_errors(value)
    return [f"{'.'.join(map(str, problem.absolute_path))}: {problem.message}" for problem in found]


@pytest.mark.parametrize("which", ["case", "clinic"])
def test_schema_is_itself_valid(which):
    assert validator(which).schema["type"] == "object"


CASES = sorted(path for path in (ROOT / "cases").glob("*.yaml") if path.name != "clinic.yaml")


def test_there_are_cases():
    assert len(CASES) >= 8


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_demo_case_fits_the_schema(path):
    assert problems("case", load(path)) == []


def test_demo_clinic_fits_the_schema():
    assert problems("clinic", load(ROOT / "cases" / "clinic.yaml")) == []


@pytest.mark.parametrize(
    ("where", "value"),
    [
        (("patient", "wieght"), "68 kg"),
        (("patient", "sex"), "fem"),
        (("patient", "born"), 1984),
        (("operation", "toes", "L6"), {"nail": "partial"}),
        (("operation", "toes", "L1", "nail"), "half"),
        (("problem", "toes", "L1", "stage"), 4),
    ],
    ids=lambda value: ".".join(value) if isinstance(value, tuple) else "",
)
def test_schema_refuses_what_the_program_refuses(where, value):
    """Without this the tests above would also pass with a schema that allows everything."""
    case = load(ROOT / "tests" / "fixtures" / "routine-long.yaml")
    *way, last = where
    block = case
    for key in way:
        block = block[key]
    block[last] = value
    assert problems("case", case) != []


# --- the scripts of names ------------------------------------------------------------------------


def han(*codecs):
    """Every Chinese character of the first plane that these encodings hold, in order."""
    pairs = [bytes([high, low]) for high in range(0x81, 0xFF) for low in range(0x40, 0xFF)]
    found = {pair.decode(codec, errors="ignore") for codec in codecs for pair in pairs}
    return sorted(text for text in found if len(text) == 1 and "\u3400" <= text <= "\u9fff")


def unprintable(tmp_path, texts):
    """Checks a case for each text, as a part of its story; gives how often a character cannot be printed."""
    fixture = (ROOT / "tests" / "fixtures" / "routine-long.yaml").read_text(encoding="utf-8")
    assert "daily_life: office work" in fixture
    for at, text in enumerate(texts):
        case = fixture.replace("LFC-0117", f"LFC-{at:04}").replace("office work", text)
        (tmp_path / f"{at}.yaml").write_text(case, encoding="utf-8")
    command = [PROGRAM, "check", tmp_path, "--clinic", ROOT / "cases" / "clinic.yaml"]
    command += ["--today", "2026-11-25", "--format", "json"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)
    return done.stdout.count('"rule": "character-not-printable"')


def test_chinese_characters_of_the_national_sets_can_be_printed(tmp_path):
    """GB 2312 (1980), Big5 and the Hong Kong Supplementary Character Set, as the codecs of Python have them."""
    every = han("gb2312", "big5", "big5hkscs")
    assert len(every) > 17_000
    chunks = ["".join(every[at : at + 900]) for at in range(0, len(every), 900)]
    assert unprintable(tmp_path, chunks) == 0


def test_a_chinese_character_of_no_set_is_named(tmp_path):
    """Unicode's Extension A begins with U+3400, which none of the sets has: the check above can fail."""
    assert "\u3400" not in han("gb2312", "big5", "big5hkscs")
    assert unprintable(tmp_path, ["office work \u3400"]) == 1
