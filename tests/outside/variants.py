"""The patients' documents of variants that no demo case shows: made by the program, for the tests beside.

Each variant is a demo case with a fragment laid over it. Drafts are enough: their words are those of the
final documents, and the mark of a draft is no part of the text.
"""

import atexit
import copy
import functools
import os
import re
import shutil
import subprocess
import tempfile
from pathlib import Path

import yaml

ROOT = Path(__file__).resolve().parents[2]
UNGUIS = os.environ.get("UNGUIS", str(ROOT / "target" / "release" / "unguis"))
TODAY = "2026-11-25"

GUARDIAN = {"name": "Helen Brightwater", "relationship": "mother", "parental_responsibility": True}


def born(date, weight="56 kg", **more):
    return {"patient": {"born": date, "weight": weight, "height": None, "guardian": GUARDIAN, **more}}


def history(**keys):
    return {"history": keys}


BOTH_EDGES = {"nail": "partial", "edges": ["medial", "lateral"]}

# What differs from the routine adult; None takes a key away.
VARIANTS = {
    "aged-3": {**born("2023-05-01", "15 kg"), "consent": {"by": "guardian"}},
    "aged-5": {**born("2021-05-01", "19 kg"), "consent": {"by": "guardian"}},
    "aged-7": {**born("2019-05-01", "23 kg"), "consent": {"by": "guardian"}},
    "aged-9": {**born("2017-05-01", "28 kg"), "consent": {"by": "guardian"}},
    "aged-11": {**born("2015-05-01", "36 kg"), "consent": {"by": "guardian"}},
    "aged-14-decides": {**born("2012-05-01"), "consent": {"by": "patient"}},
    "aged-17": born("2009-05-01"),
    "aged-17-guardian": {**born("2009-05-01"), "consent": {"by": "guardian"}},
    "best-interests": {"consent": {"by": "best interests"}, "patient": {"needs": ["carer present"]}},
    "interpreter": {"patient": {"needs": ["interpreter"], "language": "Polish"}},
    "nothing-asked": {"history": None, "consent": None, "patient": {"weight": None}},
    "medicines-not-asked": history(medicines=None),
    "conditions-not-asked": history(conditions=None),
    "allergy-unknown": history(allergies=[{"to": "moonmilk"}]),
    "medicine-unknown": history(medicines=["moonmilk"]),
    "takes-paracetamol": history(medicines=["paracetamol"]),
    "takes-co-codamol": history(medicines=["co-codamol"]),
    "takes-carbamazepine": history(medicines=["carbamazepine"]),
    "cirrhosis": history(conditions=["cirrhosis"]),
    "alcohol": history(conditions=["alcohol dependence"]),
    "malnutrition": history(conditions=["malnutrition"]),
    "kidneys": history(conditions=["ckd 3"]),
    "no-weight": {"patient": {"weight": None}},
    "light": {"patient": {"weight": "38 kg"}},
    "allergic-to-paracetamol": history(allergies=[{"to": "paracetamol"}]),
    "allergic-to-phenol": {
        **history(allergies=[{"to": "phenol"}]),
        "plan": {"L1": {"matrix": "none"}},
        "operation": {"phenol": None, "toes": {"L1": {"phenol": None}}},
    },
    "apixaban": history(medicines=["apixaban"]),
    "clopidogrel": history(medicines=["clopidogrel"]),
    "aspirin": history(medicines=["aspirin"]),
    "sertraline": history(medicines=["sertraline"]),
    "naproxen": history(medicines=["naproxen"]),
    "methotrexate-and-lithium": history(medicines=["methotrexate", "lithium"]),
    "allergic-to-nsaids": history(allergies=[{"to": "NSAIDs"}, {"to": "ibuprofen"}]),
    "bowel-heart-blood": history(conditions=["crohn's disease", "heart failure", "haemophilia", "stomach ulcer"]),
    "pregnant": history(pregnant=True),
    "breastfeeding": history(breastfeeding=True),
    "smoker": history(smoker=True),
    "everything": {
        "patient": {"born": "1950-01-01"},
        "history": {
            "diabetes": {"type": 2, "hba1c": "58 mmol/mol", "tested": "2026-10-02"},
            "medicines": ["apixaban", "aspirin", "methotrexate"],
            "smoker": True,
        },
        "vascular": {"left": {"pulses": "weak"}},
        "sensation": {"left": "7/10"},
    },
    "total-no-phenol": {
        "plan": {"L1": {"nail": "total", "edges": None, "matrix": "none"}},
        "operation": {"phenol": None, "toes": {"L1": {"nail": "total", "edges": None, "phenol": None}}},
    },
    "some-with-phenol": {
        "plan": {"R1": {"nail": "partial", "edges": ["medial", "lateral"], "matrix": "none"}},
        "operation": {"toes": {"R1": {"nail": "partial", "edges": ["medial", "lateral"], "injected": "2 ml"}}},
    },
    "three-toes-both-edges": {
        "plan": {toe: BOTH_EDGES | {"matrix": "phenol" if toe != "L3" else "none"} for toe in ("R2", "L1", "L3")},
        "operation": {"toes": {
            "R2": BOTH_EDGES | {"injected": "1 ml", "phenol": {"applications": 3, "each": "60 s"}},
            "L1": BOTH_EDGES,
            "L3": BOTH_EDGES | {"injected": "1 ml"},
        }},
    },
    "times-not-recorded": {"operation": {"toes": {"L1": {"at": None, "tourniquet": None}}}},
    "numb-until-tomorrow": {"operation": {"toes": {"L1": {"at": "21:30"}}}},
    "booked": {"follow_up": {"first_redressing": "2026-11-27", "at": "14:05"}},
    "long-names": {
        "patient": {"title": "Professor", "given": "Wilhelmina Bartholomea", "family": "Featherstonehaugh-Cholmondeley"}
    },
    "clinic-dry": {
        "clinic": {"protocol": {"aftercare": {"wet": "dry until healed", "cleanse": "keep dry", "rest_days": 1}}}
    },
    "clinic-shower": {
        "clinic": {
            "protocol": {
                "aftercare": {
                    "wet": "shower after the first visit",
                    "cleanse": "tap water if dirty",
                    "rest_days": 4,
                    "travel_home": "not driving",
                    "sport": "no contact sport or swimming",
                }
            }
        }
    },
    "clinic-bath-of-a-child": {
        **born("2012-05-01"),
        "consent": {"by": "guardian"},
        "clinic": {
            "protocol": {
                "aftercare": {"wet": "bath with the dressing on", "sport": "no contact sport or swimming"}
            }
        },
    },
    "epilepsy": history(conditions=["epilepsy"]),
    "clinic-says-little": {
        "clinic": {"hours": None, "out_of_hours": None, "protocol": {"aftercare": None, "first_redressing_days": None}}
    },
}

HAPPENED = {
    "what_happened": "it was noticed late",
    "found": {"on": "2026-11-24", "at": "10:20", "by": "R. Quill"},
    "done_at_once": "looked at",
    "harm": "low",
    "psychological_harm": "low",
    "told": {"on": "2026-11-24", "by": "R. Quill", "apology": True},
    "reported": [{"to": "the clinic's manager"}],
}
VARIANTS |= {
    "incident-overdose": {
        "operation": {"toes": {"L1": {"injected": "10 ml"}}},
        "incidents": [{"answers": ["dose-over-limit"], **HAPPENED}],
    },
    "incident-allergen": {
        **history(allergies=[{"to": "mepivacaine"}]),
        "incidents": [{"answers": ["agent-allergy"], **HAPPENED, "harm": "severe"}],
    },
    "incident-tourniquet": {
        "operation": {"toes": {"L1": {"tourniquet": {"off": None}}}},
        "incidents": [{"answers": ["tourniquet-not-removed"], **HAPPENED, "told": {"not_yet": "abroad"}}],
    },
    "incident-wrong-toe": {
        "plan": {"L1": None, "R1": {"nail": "total", "matrix": "none"}},
        "incidents": [{"answers": ["toe-not-planned"], **HAPPENED, "reported": []}, {"answers": []}],
    },
    "incident-of-a-child": {
        **born("2017-05-01", "28 kg"),
        "consent": {"by": "guardian"},
        "incidents": [{"answers": [], **HAPPENED}],
    },
}



def aftercare(**options):
    return {"clinic": {"protocol": {"aftercare": options}}}


# What clinics do differently when a dressing is changed at home, one way each.
VARIANTS |= {
    "clinic-daily": aftercare(
        redress_every="daily", stop_when="healed", infection_contact="gp", nail_varnish="off toes and fingers",
    ),
    "clinic-every-2-days": aftercare(
        redress_every="every 2 days", stop_when="comes off clean", infection_contact="gp or 111", barefoot_home=True,
    ),
}

# What has been recorded when each of the earlier and later documents is made.
REDRESSED = {"on": "2026-11-25", "kind": "redressing", "taught": "how to change the dressing, to her and her sister"}
STAGES = {
    "planned": (
        ["preparation-leaflet"],
        {"operation": None, "follow_up": None, "incidents": None, "booked": {"on": "2026-12-08", "at": "09:30"}},
    ),
    "redressed": (["dressing-leaflet"], {"visits": [REDRESSED]}),
    "closed": (
        ["closing-letter"],
        {
            "visits": [{**REDRESSED, "toes": {"L1": {"infected": True, "healed": False}}}],
            "closed": {"on": "2026-11-25", "by": "quill", "because": "moved away"},
        },
    ),
    "ended": (
        ["closing-letter"],
        {
            "visits": [{
                **REDRESSED,
                "toes": {
                    "L1": {
                        "infected": True, "burn": True, "healed": True, "healed_on": "2026-11-25",
                        "regrowth": "spike", "regrowth_hurts": True,
                    },
                },
            }],
            "closed": {"on": "2026-11-25", "by": "quill", "because": "own wish"},
        },
    ),
    "given-up": (
        ["closing-letter"],
        {
            "operation": {
                "toes": {"L1": {"nail": "none", "edges": None, "phenol": None}, "R1": None, "R2": None, "L3": None},
                "abandoned": {"because": "fainted", "at": "09:51"},
            },
            "closed": {"on": "2026-11-25", "by": "quill", "because": "not operated"},
        },
    ),
}

PRINT = {"standard": [], "large": ["large print"], "easy": ["easy read"]}


def laid_over(base, over):
    if isinstance(base, dict) and isinstance(over, dict):
        for key, value in over.items():
            if value is None:
                base.pop(key, None)
            else:
                base[key] = laid_over(base.get(key), value)
        return base
    if isinstance(over, dict):
        return {key: laid_over(None, value) for key, value in over.items() if value is not None}
    return copy.deepcopy(over)


class Loader(yaml.SafeLoader):
    """YAML as the program reads it: dates stay text, `on` and `off` are words."""


LEFT_OUT = {"tag:yaml.org,2002:timestamp", "tag:yaml.org,2002:bool"}
Loader.yaml_implicit_resolvers = {
    first: [(tag, form) for tag, form in forms if tag not in LEFT_OUT]
    for first, forms in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
Loader.add_implicit_resolver("tag:yaml.org,2002:bool", re.compile(r"^(?:true|false)$"), list("tf"))


def read(name):
    return yaml.load((ROOT / "cases" / name).read_text(encoding="utf-8"), Loader=Loader)


def dumped(tree):
    return yaml.safe_dump(tree, allow_unicode=True, sort_keys=False)


def make_one(place, reference, layers, needs, documents):
    """A folder with a case and its own clinic file, and the drafts of these documents."""
    case, clinic = read("../tests/fixtures/routine-long.yaml"), read("clinic.yaml")
    for layer in copy.deepcopy(layers):
        laid_over(clinic, layer.pop("clinic", {}))
        laid_over(case, layer)
    case["reference"] = reference.upper()[:32].rstrip("-")
    if needs:
        case["patient"]["needs"] = needs + case["patient"].get("needs", [])
    place.mkdir(parents=True)
    (place / "case.yaml").write_text(dumped(case), encoding="utf-8")
    (place / "clinic.yaml").write_text(dumped(clinic), encoding="utf-8")
    made = subprocess.run(
        [UNGUIS, "draft", "case.yaml", "--today", TODAY, "--out", "out", "--text"]
        + [part for document in documents for part in ("--only", document)],
        cwd=place, capture_output=True, text=True,
    )
    if not list(place.glob("out/*/*.pdf")):
        raise AssertionError(f"{place.name}: nothing was made\n{made.stdout}\n{made.stderr}")


def make(folder):
    """One folder a variant, stage and print, each with its own clinic file; returns the PDFs."""
    for name, over in VARIANTS.items():
        for print_name, needs in PRINT.items():
            documents = ["consent-form", "aftercare-leaflet"] + ["candour-letter"] * ("incidents" in over)
            documents += ["school-note"] * ("guardian" in over.get("patient", {}) and name != "aged-3")
            make_one(folder / f"{name}-{print_name}", f"VAR-{print_name}-{name}", [over], needs, documents)
            for stage, (documents, more) in STAGES.items():
                place = folder / f"{name}-{stage}-{print_name}"
                make_one(place, f"VAR-{print_name}-{stage}-{name}", [over, more], needs, documents)
    return sorted(folder.glob("*/out/*/*.pdf"))


@functools.cache
def pdfs():
    folder = Path(tempfile.mkdtemp(prefix="variants-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return make(folder)


def pdfs_of_words():
    """Those with words of their own: large print changes no word, easy read those of leaflets and of the last letter."""
    easy = ("leaflet", "closing-letter")
    return [
        pdf for pdf in pdfs()
        if "-standard/" in str(pdf) or ("-easy/" in str(pdf) and any(name in pdf.name for name in easy))
    ]


def name_of(pdf):
    """`everything-large/consent-form-draft` or `LFC-0117/consent-form-1`, without the reference in the file's name."""
    parts = pdf.parts
    place = parts[-4] if parts[-3] == "out" else parts[-2]
    return f"{place}/{pdf.stem.removeprefix(parts[-2] + '-')}"
