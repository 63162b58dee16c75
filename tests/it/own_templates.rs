//! A clinic's own templates from end to end: written out with their guides, laid over the built-in
//! ones file by file, tried before they are used, and named in the PDF.

use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;
use std::process::Command;

use unguis::demo;
use unguis::documents::{ChangedPhrase, DOCUMENTS, Edition, Replaces};
use unguis::pipeline::Press;
use unguis::render::Templates;
use unguis::render::embedded::{EMBEDDED, Embedded, Kind};

use crate::support::{Ran, root, scratch, tool, unguis_in};

const DAY: [&str; 2] = ["--today", "2026-11-25"];

/// The routine case and its clinic in a folder of their own, with a folder `own` for templates.
fn clinic() -> tempfile::TempDir {
    let folder = scratch();
    for (from, to) in [("routine-adult.yaml", "case.yaml"), ("clinic.yaml", "clinic.yaml")] {
        fs::copy(root().join("cases").join(from), folder.path().join(to)).expect("scratch can be written");
    }
    fs::create_dir(folder.path().join("own")).expect("scratch can be written");
    folder
}

fn built_in(name: &str) -> &'static str {
    EMBEDDED.iter().find(|file| file.name == name).expect("a template of this name").text
}

/// Lays a changed template into the folder `own`.
fn change(folder: &Path, name: &str, from: &str, to: &str) {
    let text = built_in(name);
    assert!(text.contains(from), "{name} no longer says {from}");
    put(folder, name, text.replace(from, to).as_bytes());
}

/// Lays a letter with a line more before its subject into the folder `own`.
fn insert(folder: &Path, line: &str) {
    change(folder, "gp-letter/main.typ", "\n#subject(", &format!("\n{line}\n#subject("));
}

fn put(folder: &Path, name: &str, bytes: &[u8]) {
    let file = folder.join("own").join(name);
    fs::create_dir_all(file.parent().expect("below own")).expect("scratch can be written");
    fs::write(file, bytes).expect("scratch can be written");
}

fn run(folder: &Path, command: &str) -> Ran {
    unguis_in(folder, [command, "case.yaml", "--templates", "own"].iter().chain(&DAY))
}

/// Every command that takes templates refuses them with these words, and nothing is written.
fn refused(folder: &Path, says: &[&str]) {
    for command in ["draft", "issue", "compare"] {
        refused_by(&run(folder, command), says);
    }
    refused_by(&unguis_in(folder, ["check-templates", "own"]), says);
    assert!(!folder.join("out").join("LFC-0117").exists(), "something was written");
}

fn refused_by(ran: &Ran, says: &[&str]) {
    assert_eq!(ran.code, 2, "{}{}", ran.stdout, ran.stderr);
    for says in says {
        assert!(ran.stderr.contains(says), "{says}\n{}", ran.stderr);
    }
    assert_eq!(ran.stdout, "");
    assert!(!ran.stderr.contains("panicked") && !ran.stderr.contains("fault of unguis"), "{}", ran.stderr);
}

/// The guide on top of a template, and the rest.
fn guide(file: &Embedded) -> (&'static str, String) {
    let text = file.text;
    match file.kind {
        Kind::Words => {
            let end = text.find("-#}\n").expect("a guide of words ends") + "-#}\n".len();
            assert!(text.starts_with("{#-\nPrints: "), "{} does not begin with a guide", file.name);
            (&text[..end], text[end..].to_owned())
        }
        Kind::Looks => {
            let last = "look at every page.\n";
            let end = text.find(last).expect("a guide of looks ends") + last.len();
            assert!(text.starts_with("// Prints: "), "{} does not begin with a guide", file.name);
            (&text[..end], text[end..].to_owned())
        }
    }
}

#[test]
fn every_file_is_written_with_a_guide_on_top() {
    let folder = clinic();
    let ran = unguis_in(folder.path(), ["templates", "written"]);
    assert_eq!((ran.code, ran.stdout.lines().count()), (0, EMBEDDED.len()), "{}{}", ran.stdout, ran.stderr);
    assert!(ran.stderr.contains("unguis check-templates written"), "{}", ran.stderr);
    for file in EMBEDDED {
        let written =
            fs::read_to_string(folder.path().join("written").join(file.name)).expect("it was written");
        assert_eq!(written, file.text, "{}", file.name);
        let (guide, _) = guide(file);
        for part in ["Prints: ", "Values ", "Do not: ", "Try: unguis check-templates FOLDER"] {
            assert!(guide.contains(part), "{} lacks `{part}`:\n{guide}", file.name);
        }
        let lines = guide.lines().count();
        assert!((6..=12).contains(&lines), "{}: {lines} lines", file.name);
        assert!(guide.lines().all(|line| line.chars().count() <= 114), "{}:\n{guide}", file.name);
    }
    // What is written out is what is built in, and can be used as it is.
    let ran = unguis_in(folder.path(), ["check-templates", "written"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.starts_with("no file differs from the built-in one\n"), "{}", ran.stdout);
    assert_eq!(unguis_in(folder.path(), ["templates", "written"]).code, 2, "a folder in use is kept");
}

#[test]
fn guides_leave_the_pages_as_they_are() {
    let without = EMBEDDED.iter().map(|file| (file.name.to_owned(), guide(file).1));
    let without_guides = Press::with(Templates::with_overrides(without.collect()).expect("it parses"));
    let with_guides = Press::built_in();
    let edition = Edition {
        is_draft: true,
        version: 2,
        made_on: demo::today(),
        replaces: Some(Replaces {
            version: 1,
            issued_on: demo::today(),
            because: "batch corrected".into(),
            changes: vec![ChangedPhrase { was: "M4417".into(), is: "M4471".into() }],
        }),
        answered: Vec::new(),
        open: vec!["stop: an open finding".into()],
    };
    for document in DOCUMENTS {
        let (facts, paper) = crate::support::demo_paper(document);
        let set = |press: &Press| press.set(paper, &facts, &edition).expect("it is set");
        let (with, without) = (set(&with_guides), set(&without_guides));
        assert_eq!((&with.text, with.pages), (&without.text, without.pages), "{}", document.name);
        // Drafts by own templates are marked at the edge too, so places are compared on what is issued.
        let edition = Edition { is_draft: false, ..edition.clone() };
        let set = |press: &Press| press.set(paper, &facts, &edition).expect("it is set");
        let (with, without) = (set(&with_guides), set(&without_guides));
        assert!(with.marks() == without.marks(), "{}: something has moved", document.name);
    }
}

#[test]
fn one_changed_file_is_enough_and_the_pdf_says_so() {
    let folder = clinic();
    let here = folder.path();
    let keywords = |name: &str| {
        let info = tool("pdfinfo", &[&here.join("out/LFC-0117").join(name).to_string_lossy()]);
        let line =
            info.lines().find(|line| line.starts_with("Keywords:")).expect("a PDF has keywords").to_owned();
        line["Keywords:".len()..].trim().to_owned()
    };
    change(here, "gp-letter/main.typ", "Yours sincerely", "With kind regards");
    let ran = run(here, "draft");
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    let letter = here.join("out/LFC-0117/LFC-0117-gp-letter-draft.pdf");
    let text = tool("pdftotext", &[&letter.to_string_lossy(), "-"]);
    assert!(text.contains("With kind regards") && !text.contains("Yours sincerely"), "{text}");
    let first = keywords("LFC-0117-gp-letter-draft.pdf");
    let hash =
        first.strip_prefix("custom templates sha256:").expect("it says that they are the clinic's own");
    assert!(hash.len() == 64 && hash.bytes().all(|byte| byte.is_ascii_hexdigit()), "{hash}");
    assert_eq!(keywords("LFC-0117-operation-note-draft.pdf"), first, "one set of templates, one hash");
    // Another text, another hash.
    change(here, "gp-letter/main.typ", "Yours sincerely", "With kindest regards");
    assert_eq!(run(here, "issue").code, 0);
    let second = keywords("LFC-0117-gp-letter-1.pdf");
    assert!(second.starts_with("custom templates sha256:") && second != first, "{second}");
    let ran = run(here, "compare");
    assert!(ran.code == 0 && ran.stdout.contains("gp-letter: unchanged"), "{}{}", ran.stdout, ran.stderr);
    // As built in, though saved with the line ends of another system.
    put(here, "gp-letter/main.typ", built_in("gp-letter/main.typ").replace('\n', "\r\n").as_bytes());
    assert_eq!(run(here, "draft").code, 0);
    assert_eq!(
        keywords("LFC-0117-gp-letter-draft.pdf"),
        format!("built-in templates {}", env!("CARGO_PKG_VERSION"))
    );
}

#[test]
fn names_that_are_unknown_or_misspelt_are_all_named() {
    let folder = clinic();
    put(folder.path(), "gp-leter/main.typ", b"x");
    put(folder.path(), "layuot.typ", b"x");
    put(folder.path(), "notes.txt", b"x");
    refused(
        folder.path(),
        &[
            "there is no template `gp-leter/main.typ`; did you mean `gp-letter/main.typ`?",
            "there is no template `layuot.typ`; did you mean `layout.typ`?",
            "there is no template `notes.txt`; the templates are layout.typ, ",
        ],
    );
    let folder = clinic();
    refused(folder.path(), &["there is no template in `own`", "`unguis templates DIR`"]);
    let ran = unguis_in(folder.path(), ["draft", "case.yaml", "--templates", "won"]);
    refused_by(&ran, &["could not list `won`", "check the name"]);
}

#[test]
fn files_that_cannot_be_read_are_named() {
    let folder = clinic();
    put(folder.path(), "gp-letter/main.typ", b"caf\xe9");
    refused(folder.path(), &["`own/gp-letter/main.typ` is not text in UTF-8", "save the file as UTF-8"]);
    let folder = clinic();
    fs::create_dir(folder.path().join("own/layout.typ")).expect("scratch can be written");
    refused(folder.path(), &["could not read `own/layout.typ`", "a folder stands where a file is needed"]);
    let folder = clinic();
    put(folder.path(), "gp-letter", b"");
    refused(
        folder.path(),
        &["could not read `own/gp-letter/main.typ`", "a file stands where a folder is needed"],
    );
    let folder = clinic();
    std::os::unix::fs::symlink("nowhere", folder.path().join("own/layout.typ")).expect("scratch");
    refused(folder.path(), &["`own/layout.typ` is a link, where a file is needed"]);
}

/// Root may read everything, so then the program is run as nobody.
#[test]
fn a_file_without_permission_is_named() {
    let folder = clinic();
    let here = folder.path();
    let mode =
        |path: &Path, mode| fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("mode set");
    put(here, "layout.typ", built_in("layout.typ").as_bytes());
    let program = here.join("program");
    fs::copy(env!("CARGO_BIN_EXE_unguis"), &program).expect("the program can be copied");
    mode(&program, 0o755);
    mode(here, 0o755);
    mode(&here.join("own/layout.typ"), 0o000);
    let mut command = if tool("id", &["-u"]).trim() == "0" {
        let mut command = Command::new("setpriv");
        command.args(["--reuid=65534", "--regid=65534", "--clear-groups"]).arg(&program);
        command
    } else {
        Command::new(&program)
    };
    let output =
        command.args(["check-templates", "own"]).current_dir(here).output().expect("the program starts");
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{stderr}");
    assert!(stderr.contains("could not read `own/layout.typ`"), "{stderr}");
    assert!(stderr.contains("check who may read"), "{stderr}");
}

/// Where it is printed, where it only decides, and where no demo case comes by.
#[test]
fn an_unknown_value_is_named_with_file_line_and_the_known_ones() {
    let folder = clinic();
    let line = |name: &str, what: &str| {
        let at = built_in(name).lines().position(|line| line.trim_start().starts_with(what));
        at.unwrap_or_else(|| panic!("{name} no longer says {what}")) + 1
    };
    let letter = built_in("gp-letter/main.typ")
        .replace("{{ allergies }}", "{{ alergies }}")
        .replace("{% if needs %}", "{% if neds %}");
    put(folder.path(), "gp-letter/main.typ", letter.as_bytes());
    change(folder.path(), "page.typ", "page.is_draft", "page.is_drft");
    let note =
        built_in("operation-note/main.typ").to_owned() + "{% if false %}{{ patient.nmae }}{% endif %}\n";
    put(folder.path(), "operation-note/main.typ", note.as_bytes());
    let allergies = format!(
        "gp-letter/main.typ:{}:22: there is no value `alergies`; did you mean `allergies`? The values here are allergies, ",
        line("gp-letter/main.typ", "[*Allergies:* {{ allergies }}]")
    );
    let needs = format!(
        "gp-letter/main.typ:{}:11: there is no value `neds`; did you mean `needs`?",
        line("gp-letter/main.typ", "{% if needs %}")
    );
    let draft = format!("page.typ:{}:", line("page.typ", "draft: {% if page.is_draft"));
    let never = format!("operation-note/main.typ:{}:18: there is no value `patient`", note.lines().count());
    refused(
        folder.path(),
        &[
            &allergies,
            &needs,
            &draft,
            "there is no value `is_drft` in `page`; did you mean `is_draft`? `page` holds amended_because, ",
            &never,
            "shows in gp-letter, every demo case",
            "help: mend the files and run `unguis check-templates own`",
        ],
    );
    let said = run(folder.path(), "draft").stderr;
    assert_eq!(said.matches("is_drft").count(), 1, "one mistake is said once:\n{said}");
    assert!(!said.contains("DRAFT on every page"), "what follows from it is not said:\n{said}");
}

#[test]
fn one_mistake_is_said_once_with_its_line_and_where_it_shows() {
    let folder = clinic();
    let mut text = built_in("layout.typ").replace("#let unit =", "#let unot =");
    text.push_str("#let another = (\n");
    put(folder.path(), "layout.typ", text.as_bytes());
    let said = run(folder.path(), "draft");
    refused_by(
        &said,
        &["layout.typ:", "shows in operation-note, gp-letter, consent-form, ", "every demo case"],
    );
    assert_eq!(
        said.stderr.lines().filter(|line| line.trim().starts_with("layout.typ:")).count(),
        1,
        "{}",
        said.stderr
    );
    // A line of words, though Typst sees only what they were filled into.
    let folder = clinic();
    let at = built_in("consent-form/main.typ").lines().count() + 1;
    put(
        folder.path(),
        "consent-form/main.typ",
        (built_in("consent-form/main.typ").to_owned() + "#nope\n").as_bytes(),
    );
    let place = format!("consent-form/main.typ:{at}: unknown variable: nope");
    refused(folder.path(), &[&place, "shows in consent-form, every demo case"]);
    // A built-in file in which a changed one makes itself felt.
    let folder = clinic();
    change(folder.path(), "layout.typ", "#let sign-off(", "#let sign-of(");
    refused(
        folder.path(),
        &[
            "unknown variable: sign-off",
            "is built in: look for what it needs and does not find in `layout.typ`",
        ],
    );
}

/// A document that could be taken for another patient's, another toe's or a final one.
#[test]
fn a_template_that_loses_what_keeps_a_patient_safe_is_refused() {
    let folder = clinic();
    let here = folder.path();
    let form = built_in("consent-form/main.typ")
        .replace("{{ toe.toe }}", "toe")
        .replace("{{ toe.clinical }}", "toe")
        .replace("{% include \"patient/toe.typ\" %}", "toe");
    put(here, "consent-form/main.typ", form.as_bytes());
    change(here, "page.typ", "draft: {% if page.is_draft %}true{% else %}false{% endif %}", "draft: false");
    change(here, "aftercare-leaflet/main.typ", "reference: {{ page.reference | str }}", "reference: \"\"");
    change(here, "gp-letter/main.typ", "{% include \"amended.typ\" %}", "");
    refused(
        here,
        &[
            "not every toe that the document is about is named in words\n      shows in consent-form, every demo case\n",
            "a draft does not say DRAFT on every page\n      shows in operation-note, gp-letter, visit-note and visit-letter, every demo case, in drafts only\n",
            "the reference does not stand on every page\n      shows in aftercare-leaflet, ",
            "why it was issued again and what has changed\n      shows in gp-letter, only when issued again\n",
        ],
    );
}

#[test]
fn a_template_that_lets_a_text_act_is_refused() {
    for (line, says) in [
        ("{{ allergies | safe }}", "the filter `safe` would let a patient’s text act as code"),
        ("#text(\"{{ allergies }}\")", "a value stands where its text would act as code"),
        ("/* {{ allergies }} */", "a value stands where its text would act as code"),
        ("#eval({{ allergies | str }})", "`eval` would let a patient’s text act as code"),
        ("#datetime.today().display()", "`today` would make the same version of a document differ"),
    ] {
        let folder = clinic();
        insert(folder.path(), line);
        refused_by(&run(folder.path(), "issue"), &["gp-letter/main.typ:", says]);
        assert!(!folder.path().join("out/LFC-0117").exists(), "{line}: something was written");
    }
}

#[test]
fn what_a_clinic_may_want_to_know_is_a_note_and_refuses_nothing() {
    let folder = clinic();
    let letter = built_in("gp-letter/main.typ")
        .replace("\n#subject(", "\n#v(12cm)\n#subject(")
        .replace("{% if concerns %}", "{% if false %}")
        .replace("{{ concerns }}", "");
    put(folder.path(), "gp-letter/main.typ", letter.as_bytes());
    let ran = unguis_in(folder.path(), ["check-templates", "own"]);
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    let mut lines = ran.stdout.lines();
    assert_eq!(lines.next(), Some("your own: gp-letter/main.typ"));
    let notes: Vec<&str> = lines.by_ref().take_while(|line| line.starts_with("note: ")).collect();
    assert!(
        notes[0].starts_with("note: gp-letter takes 2 pages where the built-in templates take 1: "),
        "{notes:?}"
    );
    assert!(
        notes.last().is_some_and(|note| note.starts_with("note: gp-letter no longer uses `concerns`")),
        "{notes:?}"
    );
    assert!(ran.stdout.ends_with(": all well\n"), "{}", ran.stdout);
}

/// What no demo case shows is the clinic's to mend as well: status 2, not 3, and nothing written.
#[test]
fn a_template_that_fails_on_a_case_of_the_clinic_alone_is_no_fault_of_unguis() {
    let folder = clinic();
    insert(folder.path(), "#if {{ page.reference | str }} == \"LFC-0999\" [#nope]");
    let text = fs::read_to_string(folder.path().join("case.yaml")).expect("the case");
    fs::write(folder.path().join("case.yaml"), text.replace("LFC-0117", "LFC-0999")).expect("scratch");
    for command in ["draft", "issue"] {
        let ran = run(folder.path(), command);
        assert_eq!(ran.code, 2, "{command}: {}{}", ran.stdout, ran.stderr);
        assert!(
            ran.stderr.contains("gp-letter/main.typ:") && ran.stderr.contains("unknown variable: nope"),
            "{}",
            ran.stderr
        );
        assert!(ran.stderr.contains("try without `--templates`"), "{}", ran.stderr);
        assert!(!folder.path().join("out/LFC-0999").exists(), "{command} wrote something");
    }
}

/// Of pages on paper: the handbook and the desk are built in elsewhere, and no clinic changes them.
/// A file that is not built in would neither be written out nor have its guide looked at.
#[test]
fn every_template_file_is_built_in() {
    let mut built_in: Vec<&str> = EMBEDDED.iter().map(|file| file.name).collect();
    built_in.sort_unstable();
    let mut found = Vec::new();
    let mut folders = vec![root().join("templates")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).expect("the templates can be listed") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "typ") {
                let name = path.strip_prefix(root().join("templates")).expect("below templates");
                found.push(name.to_string_lossy().into_owned());
            }
        }
    }
    found.sort();
    assert_eq!(found, built_in);
}

/// A clinic in which the case is no demo case, so that the trial cannot have seen it.
fn with_another_patient() -> tempfile::TempDir {
    let folder = clinic();
    let file = folder.path().join("case.yaml");
    let text = fs::read_to_string(&file).expect("it was copied");
    fs::write(file, text.replace("LFC-0117", "LFC-0999")).expect("scratch can be written");
    folder
}

/// What only the real pages show: the trial has never met this patient.
#[test]
fn what_depends_on_who_the_patient_is_is_refused_on_the_real_pages() {
    let depends = "what the page says here depends on who the patient is";
    let condition = |then: &str| format!("{{% if page.reference == \"LFC-0999\" %}}{then}{{% endif %}}");
    for (file, from, to, says) in [
        ("gp-letter/main.typ", "\n#subject(", format!("\n{}\n#subject(", condition("660 mg")), depends),
        (
            "page.typ",
            "draft: {% if page.is_draft %}",
            "draft: {% if page.is_draft and page.reference != \"LFC-0999\" %}".to_owned(),
            depends,
        ),
        (
            "layout.typ",
            "text(name-size, weight: \"bold\", banner.name)",
            "text(name-size, weight: \"bold\", if reference == \"LFC-0999\" [NOBODY] else { banner.name })"
                .to_owned(),
            "the patient’s name does not stand on every page",
        ),
    ] {
        let folder = with_another_patient();
        let here = folder.path();
        change(here, file, from, &to);
        let ran = unguis_in(here, ["check-templates", "own"]);
        assert_eq!(ran.code, 0, "the demo cases show nothing: {}", ran.stderr);
        let ran = run(here, "draft");
        assert_eq!(ran.code, 2, "{file}: {}{}", ran.stdout, ran.stderr);
        assert!(ran.stderr.contains(says), "{file}: {says}\n{}", ran.stderr);
        let made = here.join("out/LFC-0999/LFC-0999-gp-letter-draft.pdf");
        assert!(!made.exists(), "{file}: a page that is not safe was written");
    }
}

/// By whatever name: it is not there.
#[test]
fn nothing_runs_a_text_and_nothing_is_sent() {
    for (line, says) in [
        ("#dictionary(std).at(\"ev\" + \"al\")({{ allergies | str }})", "gp-letter/main.typ:"),
        ("#dictionary(std).at(\"plu\" + \"gin\")", "gp-letter/main.typ:"),
        (
            "#link(\"https://example.org/?n=\" + {{ page.reference | str }})[here]",
            "a page links to `https://example.org/`: only `mailto:` and `tel:` can be linked",
        ),
        ("#link(\"javascript:alert(1)\")[here]", "a page links to `javascript:alert(1)`"),
    ] {
        let folder = clinic();
        insert(folder.path(), line);
        refused_by(&run(folder.path(), "issue"), &[says]);
        assert!(!folder.path().join("out/LFC-0117").exists(), "{line}: something was written");
    }
    let folder = clinic();
    insert(folder.path(), "#link(\"mailto:gp@example.org\")[write] #link(\"tel:01632960000\")[ring]");
    assert_eq!(run(folder.path(), "issue").code, 0);
}

/// The mark lies over the page once it is set: a template can neither cover nor leave it out.
#[test]
fn a_draft_is_marked_whatever_its_templates_draw() {
    let folder = clinic();
    let here = folder.path();
    // It says DRAFT, in white on white, and draws a white sheet over the page.
    change(
        here,
        "layout.typ",
        "box(fill: black, inset: (x: 0.6em), outset: (y: 0.25em), text(white, weight: \"bold\")[DRAFT#if not is-large [ – not for use]])",
        "text(white)[DRAFT]",
    );
    let ran = run(here, "draft");
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    let letter = here.join("out/LFC-0117/LFC-0117-gp-letter-draft.pdf");
    let text = tool("pdftotext", &["-raw", &letter.to_string_lossy(), "-"]);
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("DRAFT – not for use"), "{text}");
    // What stands there is black: the rest of the edge is empty.
    let picture = here.join("page");
    let at_the_edge =
        ["-r", "40", "-f", "1", "-l", "1", "-x", "315", "-y", "0", "-W", "15", "-H", "467", "-gray"];
    let files = [letter.to_string_lossy(), picture.to_string_lossy()];
    tool("pdftoppm", &[&at_the_edge[..], &[&*files[0], &*files[1]]].concat());
    let mut files = fs::read_dir(here).expect("a folder").flatten().map(|entry| entry.path());
    let picture = files.find(|path| path.extension().is_some_and(|ending| ending == "pgm"));
    let pixels = fs::read(picture.expect("a picture")).expect("it can be read");
    assert!(pixels.iter().filter(|grey| **grey < 100).count() > 30, "nothing dark at the edge");
}

/// A document that has no end, for this patient alone.
#[test]
fn a_second_signal_ends_a_document_that_has_no_end() {
    let folder = with_another_patient();
    let here = folder.path();
    insert(
        here,
        "#if {{ page.reference | str }} == \"LFC-0999\" { for a in range(100000) { for b in range(100000) { let c = a + b } } }",
    );
    for patience in [2, 4, 8, 16] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_unguis"))
            .args(["issue", "case.yaml", "--templates", "own"].iter().chain(&DAY))
            .current_dir(here)
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .expect("the program starts");
        let pid = child.id().to_string();
        let status = Path::new("/proc").join(&pid).join("status");
        let catches = || {
            let text = fs::read_to_string(&status).unwrap_or_default();
            let caught = text.lines().find_map(|line| line.strip_prefix("SigCgt:")).unwrap_or("0");
            u64::from_str_radix(caught.trim(), 16).unwrap_or(0) >> 14 & 1 == 1
        };
        while !catches() && child.try_wait().expect("a child").is_none() {
            std::thread::sleep(std::time::Duration::from_millis(20));
        }
        // Time to begin with the document; if it was too little, once more with patience.
        std::thread::sleep(std::time::Duration::from_secs(patience));
        tool("kill", &["-TERM", &pid]);
        std::thread::sleep(std::time::Duration::from_secs(1));
        if child.try_wait().expect("a child").is_some() {
            continue;
        }
        tool("kill", &["-TERM", &pid]);
        let ended = child.wait_with_output().expect("it ends");
        let said = String::from_utf8_lossy(&ended.stderr);
        assert!(ended.status.code() == Some(2) && said.contains("stopped at once"), "{said}");
        assert!(!here.join("out/LFC-0999").exists(), "something was written");
        return;
    }
    panic!("the document had an end");
}
