"""Every short form against the published schema, with a validator that others wrote.

What the program reads fits the schema, in the short form and in full; what it refuses is refused by the
schema where a schema can tell.
"""

import json
import re

import jsonschema
import pytest
import yaml

from reference_libraries import PlainLoader, unguis


class Loader(PlainLoader):
    """As other readers of YAML 1.2 do, but that `0935` is no number."""


Loader.yaml_implicit_resolvers = {
    first: [pair for pair in pairs if not pair[0].endswith(":int")]
    for first, pairs in PlainLoader.yaml_implicit_resolvers.items()
}
Loader.add_implicit_resolver(
    "tag:yaml.org,2002:int", re.compile(r"^[-+]?(?:0|[1-9][0-9]*)$"), list("-+0123456789")
)

FORMS = json.loads(unguis("dev", "forms"))

# Other readers of YAML stumble over these before a schema is asked.
OF_THE_LAYOUT = {"colon", "no-break blanks", "tabs"}

# What no pattern can tell: whether there is such a day, what is out of range, what has two meanings.
BEYOND_A_SCHEMA = [
    "date: 11/24/2026",
    "date: 31/11/2026",
    "date: Mon 24 Nov 2026",
    "start: 2.15",
    "start: 9.5",
    "start: 9\n",
    "expires: 09/10",
    "expires: 27/08",
    "weight: 10.5 st",
    "weight: 10 st 15 lb",
    "height: 5.11 ft",
    "height: 1.71 cm",
    "hba1c: 12",
    "right: 11/10",
    "pulses: DP palpable + DP weak",
    "review_days: 6 months",
    "conditions: [none, asthma]",
    "opening_days: Fri to Mon",
    "tourniquet: 2.15 to 2.25",
    "summary: “bad” and “worse”",
]


def validator(which):
    schema = json.loads(unguis("schema", which))
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


VALIDATORS = {which: validator(which) for which in ("case", "clinic")}


def problems(of, text):
    found = VALIDATORS[of].iter_errors(yaml.load(text, Loader=Loader))
    return [f"{problem.json_path}: {problem.message[:200]}" for problem in found]


def examples(kind):
    for form in FORMS:
        if form["name"] not in OF_THE_LAYOUT:
            for at, example in enumerate(form[kind]):
                yield pytest.param(form, example, id=f"{form['name']}-{at}")


def test_there_are_forms():
    assert len(FORMS) > 25
    assert sum(len(form["examples"]) for form in FORMS) > 120


@pytest.mark.parametrize(("form", "example"), examples("examples"))
def test_what_is_read_fits_the_schema(form, example):
    if not stumbles(example["typed"]):
        assert problems(form["of"], example["typed"]) == []
    assert problems(form["of"], example["full"]) == []


def stumbles(text):
    """A colon inside a text, which other readers of YAML refuse before a schema is asked."""
    try:
        yaml.load(text, Loader=Loader)
    except yaml.YAMLError:
        return True
    return False


def is_beyond(form, text):
    return any(part in text for part in BEYOND_A_SCHEMA)


@pytest.mark.parametrize(("form", "example"), examples("refused"))
def test_what_is_refused_does_not_fit_where_a_schema_can_tell(form, example):
    fits = problems(form["of"], example) == []
    # A schema sees a line as one text: most of its words are the program's to judge.
    assert fits == is_beyond(form, example) or form["name"].endswith("in one line")


def test_the_schema_describes_what_it_takes():
    for which in ("case", "clinic"):
        schema = VALIDATORS[which].schema
        assert "x-" not in json.dumps([key for key in walk(schema)])
        bare = [path for path, entry in entries(schema) if "description" not in json.dumps(entry)]
        assert bare == []


def walk(schema):
    if isinstance(schema, dict):
        yield from schema
        for value in schema.values():
            yield from walk(value)
    elif isinstance(schema, list):
        for value in schema:
            yield from walk(value)


def entries(schema):
    for name, block in schema.get("$defs", {}).items():
        for key, entry in block.get("properties", {}).items():
            yield f"{name}.{key}", entry
