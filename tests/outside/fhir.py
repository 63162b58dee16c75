"""Whether what `unguis export --as fhir` prints is FHIR R4, in the eyes of four validators of others.

Every demo case is exported from the documents that were issued, and each validator must find nothing; and each
must find fault with documents that were spoilt on purpose, or its silence would say nothing.

    npm ci --prefix target/ci-fhir        (with tests/outside/fhir/package*.json copied there)
    UNGUIS_OUT=target/ci-out/all UNGUIS_FHIR=target/ci-fhir pytest tests/outside/fhir.py

Codes are held against the standard's own value sets. Where UNGUIS_UKCORE names a folder with the snapshots of UK
Core, the documents are held against these too; no document claims them.
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

import fhirkit_rs
import pytest

ROOT = Path(__file__).resolve().parents[2]
UNGUIS = os.environ.get("UNGUIS", str(ROOT / "target/release/unguis"))
OUT = Path(os.environ.get("UNGUIS_OUT", ROOT / "target/ci-out/all"))
NODE = Path(os.environ.get("UNGUIS_FHIR", ROOT / "target/ci-fhir"))
UKCORE = Path(os.environ.get("UNGUIS_UKCORE", ROOT.parent / "shared/ukcore"))
CASES = sorted(path for path in (ROOT / "cases").glob("*.yaml") if path.name != "clinic.yaml")
OF_NODE = ["medplum", "fhirpath", "fhir"]
HEADINGS = "https://fhir.hl7.org.uk/CodeSystem/UKCore-RecordStandardHeadings"


def with_fhirkit(text):
    """What the strict reader of JSON finds wrong."""
    raise NotImplementedError
