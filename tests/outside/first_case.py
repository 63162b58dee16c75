"""From an empty folder to the first pack, at a terminal, as a practitioner would.

The questions of `unguis setup` are answered on a pseudo-terminal of the standard library: what the program
does where somebody sits at it cannot be seen through a pipe.
"""

import os
import pty
import select
import stat
import subprocess

import yaml

from variants import ROOT, TODAY, UNGUIS

# What the questions end in, and what is typed; a wrong answer first where one is likely.
ANSWERS = [
    ("name: ", "Saltings Foot Clinic"),
    ("address: ", "7 Weir Lane, Saltings, XX5 1AB"),
    ("telephone: ", "01632 960 301"),
    ("out_of_hours: ", ""),
    ("division: ", "United Kingdom"),
    ("division: ", "England"),
    ("name: ", "Morgan Teal"),
    ("each case: ", "morgan teal"),
    ("each case: ", "teal"),
    ("registration: ", "HCPC CH00002"),
    ("role: ", ""),
    ("role: ", "Podiatrist"),
    ("annotations: ", "Administration"),
    ("name: ", ""),
    ("practice: ", "Weir Surgery"),
    ("each case: ", "weir"),
    ("name: ", "Dr B. Lowick"),
    ("address: ", "2 Weir Lane, Saltings, XX5 1AC"),
    ("telephone: ", ""),
    ("practice: ", ""),
    ("agent: ", "mepivacaine"),
    ("strength: ", "3"),
    ("strength: ", "3 %"),
    ("phenol: ", "89%"),
    ("technique: ", "digital block, two-sided"),
    ("first_redressing_days: ", "30 days"),
    ("first_redressing_days: ", "3"),
    ("review_days: ", "42"),
    ("opening_days: ", "Monday to Friday"),
    ("yes or no: ", "no"),
]


def talk(command, folder, answers):
    """Everything that is shown at a terminal while the answers are typed, and the exit status."""
    process, terminal = pty.fork()
    if process == 0:
        os.chdir(folder)
        os.execv(command[0], command)
    shown = ""

    def read_until(end):
        nonlocal shown
        start = len(shown)
        while end is None or not shown[start:].endswith(end):
            if not select.select([terminal], [], [], 60)[0]:
                raise AssertionError(f"no {end!r} came: {shown[start:]!r}")
            try:
                chunk = os.read(terminal, 4096)
            except OSError:  # The program has ended.
                chunk = b""
            if not chunk:
                assert end is None, f"it ended before {end!r}: {shown}"
                return
            shown += chunk.decode()

    for prompt, answer in answers:
        read_until(prompt)
        os.write(terminal, f"{answer}\n".encode())
    read_until(None)
    return shown, os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])


def run(folder, *arguments):
    ran = subprocess.run([UNGUIS, *arguments], cwd=folder, capture_output=True, text=True, check=False)
    return ran.returncode, ran.stdout, ran.stderr


CASE = """\
reference: SFC-0001
patient: {given: Rowena, family: Askrigg, born: 1990-05-04, sex: female, weight: 64 kg, height: 168 cm}
gp: weir
history:
  diabetes: none
  conditions: none
  medicines: none
  allergies: none known
  smoker: false
  pregnant: false
problem:
  summary: a year of pain in shoes
  toes: {R1: {edges: [medial], stage: 2, infected: false}}
vascular: {right: {pulses: palpable}, left: {pulses: palpable}}
sensation: {right: 10/10, left: 10/10}
plan: {R1: {nail: partial, edges: [medial], matrix: phenol}}
booked: {on: 2026-12-02, at: "09:30", room: Room 2}
"""


def test_from_nothing_to_the_first_pack(tmp_path):
    shown, status = talk([UNGUIS, "setup"], tmp_path, ANSWERS)
    assert status == 0, shown
    # Each answer that could not be taken is answered with what to write, and asked for again.
    for said in [
        "`United Kingdom` is not a known word",
        "letters, digits and hyphens only",
        "this one is needed",
        "like `3 %`",
        "a whole number from 1 to 14",
    ]:
        assert said in shown, f"{said}: {shown}"
    # Each answer stands as it is read; in full, any program reads it.
    assert "administration" in (tmp_path / "clinic.yaml").read_text()
    assert run(tmp_path, "tidy", "clinic.yaml")[0] == 0
    clinic = yaml.safe_load((tmp_path / "clinic.yaml").read_text())
    assert clinic["practitioners"]["teal"]["annotations"] == ["administration"]
    assert (clinic["division"], list(clinic["practitioners"])) == ("england-and-wales", ["teal"])
    assert clinic["protocol"]["opening_days"] == ["monday", "tuesday", "wednesday", "thursday", "friday"]
    # What was not answered was not filled in.
    assert "skin_preparation" not in clinic["protocol"] and "out_of_hours" not in clinic
    status, out, _ = run(tmp_path, "check", "clinic.yaml")
    assert (status, out) == (0, "clinic.yaml: no findings; it can be used\n")

    status, out, err = run(tmp_path, "new", "SFC-0001")
    assert (status, out) == (0, "SFC-0001.yaml\n"), err
    assert "case.schema.json" in err
    for name in ["clinic.yaml", "SFC-0001.yaml", "case.schema.json"]:
        assert stat.S_IMODE((tmp_path / name).stat().st_mode) == 0o600, name
    text = (tmp_path / "SFC-0001.yaml").read_text()
    assert text.startswith("# yaml-language-server: $schema=case.schema.json\n")
    # The schema is none of the cases, and is not spoken of.
    (tmp_path / "SFC-0001.yaml").write_text(CASE)
    status, out, err = run(tmp_path, "check", ".", "--today", TODAY)
    assert "schema" not in out + err, err
    status, out, err = run(tmp_path, "issue", "SFC-0001.yaml", "--today", TODAY, "--only", "consent-form")
    assert status == 0, out + err
    assert (tmp_path / "out/SFC-0001/SFC-0001-consent-form-1.pdf").exists()
    # A second case finds the schema there, and is not told of it again; one of another version is renewed.
    status, _, err = run(tmp_path, "new", "SFC-0002", "--like", "SFC-0001")
    assert status == 0 and "schema" not in err and "taken over: room Room 2" in err, err
    schema = tmp_path / "case.schema.json"
    whole = schema.read_text()
    schema.write_text(whole.replace("nail surgery", "nail-surgery"))
    assert "brought up to date" in run(tmp_path, "new", "SFC-0003")[2]
    assert schema.read_text() == whole
    schema.write_text("{}")
    assert "left as it is" in run(tmp_path, "new", "SFC-0004")[2]
    assert schema.read_text() == "{}"


def test_an_answer_that_is_broken_off_leaves_no_file(tmp_path):
    shown, _ = talk([UNGUIS, "setup"], tmp_path, [("name: ", "Saltings\x03")])
    assert not (tmp_path / "clinic.yaml").exists(), shown
    assert ROOT.exists()
