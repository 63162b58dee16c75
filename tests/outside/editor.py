"""Whether an editor that speaks to the YAML language server knows our files: completion, hover text, errors.

The server is the published one (npm, see editor/package.json), given nothing but the schema that the program
prints and the line at the head of a case that names it. It is not given a network.

    npm ci --prefix target/ci-node
    UNGUIS_YLS=target/ci-node pytest tests/outside/editor.py
"""

import json
import os
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
UNGUIS = os.environ.get("UNGUIS", str(ROOT / "target/release/unguis"))
NODE_MODULES = Path(os.environ.get("UNGUIS_YLS", ROOT / "target/ci-node")) / "node_modules"
SERVER = NODE_MODULES / "yaml-language-server/bin/yaml-language-server"

# What an editor would have set: no list of schemas from the web.
SETTINGS = {
    "yaml": {
        "schemaStore": {"enable": False},
        "validate": True,
        "hover": True,
        "completion": True,
    },
    "http": {"proxy": "", "proxyStrictSSL": False},
    "[yaml]": {},
    "editor": {},
    "files": {},
}


class Editor:
    """As much of an editor as the server needs."""

    def __init__(self, folder):
        self.folder = folder
        self.count = 0
        self.diagnostics = {}
        offline = ["unshare", "--map-root-user", "--net"]
        if subprocess.run([*offline, "true"], capture_output=True).returncode != 0:
            offline = []
        self.server = subprocess.Popen(
            [*offline, "node", str(SERVER), "--stdio"], stdin=subprocess.PIPE, stdout=subprocess.PIPE
        )
        self.request(
            "initialize",
            {
                "processId": os.getpid(),
                "rootUri": folder.as_uri(),
                "capabilities": {
                    "workspace": {"configuration": True},
                    "textDocument": {
                        "completion": {"completionItem": {"documentationFormat": ["markdown"]}},
                        "hover": {"contentFormat": ["markdown"]},
                        "publishDiagnostics": {},
                    },
                },
            },
        )
        self.notify("initialized", {})

    def send(self, message):
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        self.server.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self.server.stdin.flush()

    def receive(self):
        length = 0
        while line := self.server.stdout.readline().strip():
            name, value = line.split(b":", 1)
            if name.lower() == b"content-length":
                length = int(value)
        assert length, "the server ended"
        return json.loads(self.server.stdout.read(length))

    def handle(self, message):
        """Answers what the server asks meanwhile, and keeps its diagnostics."""
        if message.get("method") == "workspace/configuration":
            wanted = [SETTINGS.get(item.get("section")) for item in message["params"]["items"]]
            self.send({"id": message["id"], "result": wanted})
        elif message.get("method") == "textDocument/publishDiagnostics":
            self.diagnostics[message["params"]["uri"]] = message["params"]["diagnostics"]
        elif "method" in message and "id" in message:
            self.send({"id": message["id"], "result": None})

    def request(self, method, params):
        self.count += 1
        self.send({"id": self.count, "method": method, "params": params})
        while True:
            message = self.receive()
            if message.get("id") == self.count and "method" not in message:
                assert "error" not in message, message
                return message["result"]
            self.handle(message)

    def notify(self, method, params):
        self.send({"method": method, "params": params})

    def open(self, name, text):
        path = self.folder / name
        path.write_text(text)
        uri = path.as_uri()
        self.notify(
            "textDocument/didOpen",
            {"textDocument": {"uri": uri, "languageId": "yaml", "version": 1, "text": text}},
        )
        while uri not in self.diagnostics:
            self.handle(self.receive())
        return uri

    def at(self, method, uri, line, column):
        return self.request(
            f"textDocument/{method}",
            {"textDocument": {"uri": uri}, "position": {"line": line, "character": column}},
        )

    def labels(self, uri, line, column):
        found = self.at("completion", uri, line, column)
        items = found["items"] if isinstance(found, dict) else found
        return {item["label"] for item in items}

    def close(self):
        self.request("shutdown", None)
        self.notify("exit", None)
        self.server.wait(10)
        self.server.stdin.close()
        self.server.stdout.close()


@pytest.fixture(scope="module")
def editor(tmp_path_factory):
    assert SERVER.is_file(), f"{SERVER} is not there: npm ci --prefix target/ci-node (see .ci/run)"
    folder = tmp_path_factory.mktemp("editor")
    for what in ("case", "clinic"):
        schema = subprocess.run([UNGUIS, "schema", what], check=True, capture_output=True).stdout
        (folder / f"{what}.schema.json").write_bytes(schema)
    editor = Editor(folder)
    yield editor
    editor.close()


def head(what):
    """The line that tells an editor which schema a file has."""
    return f"# yaml-language-server: $schema={what}.schema.json\n"


def demo(name):
    return (ROOT / "cases" / name).read_text()


def test_nothing_is_marked_in_a_demo_case_or_its_clinic(editor):
    for what, name in [("case", "routine-adult.yaml"), ("case", "wrong-toe.yaml"), ("clinic", "clinic.yaml")]:
        uri = editor.open(name, head(what) + demo(name))
        assert editor.diagnostics[uri] == [], name


def test_keys_are_completed_in_their_block(editor):
    uri = editor.open("keys.yaml", head("case") + "reference: LFC-0117\npatient:\n  gi\n")
    assert {"given", "family", "born", "nhs_number"} <= editor.labels(uri, 3, 2)
    uri = editor.open("top.yaml", head("case") + "\n")
    assert {"reference", "patient", "operation", "visits", "incidents"} <= editor.labels(uri, 1, 0)


def test_words_of_a_value_are_completed(editor):
    text = head("case") + "plan:\n  L1:\n    nail: \n"
    uri = editor.open("words.yaml", text)
    assert {"partial", "total"} <= editor.labels(uri, 3, len("    nail: "))


def test_a_key_says_what_it_is(editor):
    text = head("case") + "reference: LFC-0117\npatient:\n  weight: 68 kg\n"
    uri = editor.open("hover.yaml", text)
    said = json.dumps(editor.at("hover", uri, 3, 4))
    schema = json.loads((editor.folder / "case.schema.json").read_text())
    patient = schema["$defs"]["Patient"]
    block = next(form for form in patient.get("anyOf", [patient]) if "properties" in form)
    described = block["properties"]["weight"]["description"]
    assert described.split(".")[0].split("(")[0].strip() in said.replace("\\\\", ""), said


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("vascular: R palpable; L palpable\n", "R/L arms …/…"),
        ("operation: 2026-11-24, by quill\n", "LA …"),
        ("plan: L1 lateral, PNA, phenol\n", "each toe by its name"),
    ],
)
def test_a_block_in_one_line_says_how_it_is_written(editor, written, says):
    key = written.split(":")[0]
    uri = editor.open(f"line-{key}.yaml", head("case") + written)
    for column in (2, len(key) + 4):
        said = json.dumps(editor.at("hover", uri, 1, column), ensure_ascii=False)
        assert "In one line" in said and says in said.replace("\\", ""), said


@pytest.mark.parametrize(
    ("wrong", "line", "says"),
    [
        ("operaton: {}\n", 1, "operaton"),
        ("plan:\n  L1: {nail: half}\n", 2, "partial"),
        ("plan:\n  L9: {nail: partial}\n", 2, "L9"),
    ],
)
def test_a_mistake_is_marked_on_its_line(editor, wrong, line, says):
    rest = "reference: LFC-0117\npatient: {given: Imogen, family: Hollis, born: 1984-02-09}\n"
    uri = editor.open(f"wrong-{says}.yaml", head("case") + wrong + rest)
    found = [(mark["range"]["start"]["line"], mark["message"]) for mark in editor.diagnostics[uri]]
    assert any(at == line and says in message for at, message in found), found


def test_clinic_keys_are_completed(editor):
    uri = editor.open("of-clinic.yaml", head("clinic") + "name: Larkmoor Foot Clinic\nprotocol:\n  rev\n")
    assert {"review_days", "opening_days"} <= editor.labels(uri, 3, 5)
