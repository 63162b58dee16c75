//! The real PDFs, read by tools that know nothing of this program (poppler, qpdf).

use std::path::{Path, PathBuf};

use unguis::demo;
use unguis::facts::Facts;
use unguis::pipeline::check;

use crate::support::{root, scratch, tool, unguis};

/// Issues every demo case into a folder and gives the PDFs.
fn issue_all(out: &Path) -> Vec<PathBuf> {
    let cases = root().join("cases");
    let ran =
        unguis(["issue", &cases.to_string_lossy(), "--today", "2026-11-25", "--out", &out.to_string_lossy()]);
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    let mut pdfs: Vec<PathBuf> = std::fs::read_dir(out)
        .expect("the folder was made")
        .map(|entry| entry.expect("an entry can be read").path())
        .filter(|path| path.is_dir())
        .flat_map(|folder| std::fs::read_dir(folder).expect("a case folder can be listed"))
        .map(|entry| entry.expect("an entry can be read").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "pdf"))
        .collect();
    pdfs.sort();
    pdfs
}

/// Each demo case makes what it holds enough for.
fn documents_of_the_demo_cases() -> usize {
    let ready = demo::CASES
        .iter()
        .map(|(name, text)| check(demo::source(name, text), &demo::clinic(), demo::today()).ready(&[]).len());
    ready.sum()
}

fn text_of(pdf: &Path) -> String {
    tool("pdftotext", &["-layout", &pdf.to_string_lossy(), "-"])
}

fn pages_of(pdf: &Path) -> usize {
    let info = tool("pdfinfo", &[&pdf.to_string_lossy()]);
    let line = info.lines().find(|line| line.starts_with("Pages:")).expect("pdfinfo counts pages");
    line.trim_start_matches("Pages:").trim().parse().expect("a number of pages")
}

fn is(pdf: &Path, document: &str) -> bool {
    document_of(pdf).starts_with(document)
}

/// The name of a file without the reference that it begins with, which is that of its folder.
fn document_of(pdf: &Path) -> String {
    let part = |path: Option<&std::ffi::OsStr>| path.unwrap_or_default().to_string_lossy().into_owned();
    let folder = part(pdf.parent().and_then(Path::file_name));
    let name = part(pdf.file_name());
    name.strip_prefix(&format!("{folder}-")).map_or(name.clone(), str::to_owned)
}

#[test]
fn every_pdf_is_sound_and_free_of_template_residue() {
    let folder = scratch();
    let pdfs = issue_all(folder.path());
    assert_eq!(pdfs.len(), documents_of_the_demo_cases());
    for pdf in &pdfs {
        tool("qpdf", &["--check", &pdf.to_string_lossy()]);
        let text = text_of(pdf);
        for residue in ["{{", "}}", "{%", "#\"", "\";", "none)", "not defined", "undefined"] {
            assert!(!text.contains(residue), "{}: {residue}", pdf.display());
        }
        let info = tool("pdfinfo", &[&pdf.to_string_lossy()]);
        for line in ["Tagged:          yes", "Page size:       595.276 x 841.89 pts (A4)"] {
            assert!(info.contains(line), "{}: {line}\n{info}", pdf.display());
        }
        let claims = tool("pdfinfo", &["-meta", &pdf.to_string_lossy()]);
        for claim in
            ["<pdfaid:part>2</pdfaid:part>", "<pdfaid:conformance>A</pdfaid:conformance>", "<pdfuaid:part>1"]
        {
            assert!(claims.contains(claim), "{}: {claim}\n{claims}", pdf.display());
        }
    }
}

/// The demo cases of several toes, and those of an incident.
fn tells_much(pdf: &Path) -> bool {
    let path = pdf.to_string_lossy();
    ["LFC-0124", "LFC-0128", "LFC-0131", "LFC-0132"].iter().any(|reference| path.contains(reference))
}

#[test]
fn page_counts_are_what_the_reader_was_promised() {
    let folder = scratch();
    for pdf in issue_all(folder.path()) {
        let is_large_print = pdf.to_string_lossy().contains("LFC-0124");
        let is_easy_read = pdf.to_string_lossy().contains("LFC-0127");
        let most = match document_of(&pdf) {
            // Two toes or more, or an incident, take a page more.
            name if name.starts_with("operation-note") => 2 + usize::from(tells_much(&pdf)),
            name if name.starts_with("gp-letter") => 1 + usize::from(tells_much(&pdf)),
            name if name.starts_with("consent-form") => {
                if is_large_print {
                    6
                } else {
                    3
                }
            }
            name if name.starts_with("visit-note") => 1,
            name if name.starts_with("visit-letter") => 1 + usize::from(tells_much(&pdf)),
            name if name.starts_with("school-note") => 1,
            _ if is_large_print => 5,
            // With a carer, an illness and a medicine to name, the signs of sepsis and of a clot take a sixth.
            _ if is_easy_read => 6,
            name if ["preparation-leaflet", "dressing-leaflet", "closing-letter"]
                .iter()
                .any(|one_page| name.starts_with(one_page)) =>
            {
                1
            }
            _ => 2,
        };
        let pages = pages_of(&pdf);
        assert!(pages <= most, "{}: {pages} pages, promised {most}", pdf.display());
    }
}

#[test]
fn the_facts_stand_on_the_pages_of_the_routine_case() {
    let folder = scratch();
    for pdf in issue_all(folder.path()).iter().filter(|pdf| pdf.to_string_lossy().contains("LFC-0117")) {
        // Words only: how a line breaks is the layout's business.
        let text = text_of(pdf).split_whitespace().collect::<Vec<_>>().join(" ");
        let expected: &[&str] = match () {
            () if is(pdf, "operation-note") => &[
                "HOLLIS, Imogen (Ms)",
                "09-Feb-1984 (42y)",
                "999 000 0018",
                "24-Nov-2026",
                "left hallux",
                "lateral",
                "66 mg",
                "mepivacaine",
                "M4417",
                "P203",
                "T-0412",
                "09:50",
                "10:01",
                "11 min",
                "180 s",
                "LFC-0117",
            ],
            () if is(pdf, "gp-letter") => &[
                "HOLLIS, Imogen (Ms)",
                "09-Feb-1984 (42y)",
                "999 000 0018",
                "24-Nov-2026",
                "left big toe",
                "66 mg",
                "No action needed",
                "Birchgate Surgery",
                "LFC-0117",
            ],
            () if is(pdf, "consent-form") => &[
                "Hollis",
                "9 February 1984",
                "left big toe",
                "outer (lateral) edge",
                "20 November 2026",
                "LFC-0117",
            ],
            () => &["left big toe", "27 November 2026", "500mg", "01632 960 100", "999", "LFC-0117"],
        };
        for fact in expected {
            assert!(text.contains(fact), "{}: {fact}\n{text}", pdf.display());
        }
    }
}

/// Not only some banner: this patient's own name, date of birth and number, on each page, and nobody
/// else's.
#[test]
fn the_banner_stands_on_every_page_of_the_clinicians_documents() {
    let folder = scratch();
    let pdfs = issue_all(folder.path());
    let patients: Vec<Facts> = demo::CASES
        .iter()
        .map(|(name, text)| {
            let checked = check(demo::source(name, text), &demo::clinic(), demo::today());
            checked.facts.unwrap_or_else(|| panic!("{name} does not read"))
        })
        .collect();
    let number =
        |facts: &Facts| facts.derived.nhs_number.get().expect("every demo patient has one").to_owned();
    let mut pages_seen = 0;
    for facts in &patients {
        let (patient, reference) = (&facts.case.patient, facts.case.reference.as_str());
        let own: Vec<&PathBuf> = pdfs
            .iter()
            .filter(|pdf| pdf.parent().is_some_and(|folder| folder.ends_with(reference)))
            .filter(|pdf| is(pdf, "operation-note") || is(pdf, "gp-letter"))
            .collect();
        for pdf in own {
            for (at, page) in text_of(pdf).trim_end_matches('\u{c}').split('\u{c}').enumerate() {
                let place = format!("{} page {}", pdf.display(), at + 1);
                for mark in [patient.family.to_uppercase(), patient.born.clinical(), number(facts)] {
                    assert!(page.contains(&mark), "{place}: no {mark}\n{page}");
                }
                for other in patients.iter().map(number).filter(|other| *other != number(facts)) {
                    assert!(!page.contains(&other), "{place}: {other} is another patient's");
                }
                pages_seen += 1;
            }
        }
    }
    assert!(pages_seen >= patients.len(), "only {pages_seen} pages were looked at");
}

#[test]
fn drafts_are_marked_on_every_page() {
    let folder = scratch();
    let case = root().join("cases/routine-adult.yaml");
    let out = folder.path().to_string_lossy().into_owned();
    let ran = unguis(["draft", &case.to_string_lossy(), "--today", "2026-11-25", "--out", &out]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let drafts = std::fs::read_dir(folder.path().join("LFC-0117")).expect("the drafts can be listed");
    let drafts = drafts.map(|entry| entry.expect("an entry can be read").path());
    let drafts: Vec<PathBuf> =
        drafts.filter(|path| path.extension().is_some_and(|end| end == "pdf")).collect();
    assert!(drafts.len() > 3, "{drafts:?}");
    for pdf in drafts {
        let document = pdf.display();
        let text = text_of(&pdf);
        for page in text.trim_end_matches('\u{c}').split('\u{c}') {
            assert!(page.contains("DRAFT"), "{document}: a page without the mark");
        }
    }
}

#[test]
fn the_same_case_gives_the_same_bytes() {
    let (first, second) = (scratch(), scratch());
    let (first, second) = (
        issue_all(first.path()).into_iter().map(read).collect::<Vec<_>>(),
        issue_all(second.path()).into_iter().map(read).collect::<Vec<_>>(),
    );
    assert_eq!(first.len(), second.len());
    assert!(first == second, "two runs gave different bytes");
}

fn read(pdf: PathBuf) -> Vec<u8> {
    std::fs::read(pdf).expect("a PDF that was just made can be read")
}

/// A screen reader, or whatever reads the tags: what stands in a running head alone it is never told.
#[test]
fn who_listens_is_told_whose_document_it_is_and_that_it_is_a_draft() {
    let folder = scratch();
    let cases = root().join("cases");
    let out = |command| folder.path().join(command);
    let commands = ["draft", "issue"];
    for command in commands {
        let ran = unguis([
            command,
            &cases.to_string_lossy(),
            "--today",
            "2026-11-25",
            "--out",
            &out(command).to_string_lossy(),
        ]);
        assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    }
    let mut looked_at = 0;
    for (name, text) in demo::CASES {
        let checked = check(demo::source(name, text), &demo::clinic(), demo::today());
        let facts = checked.facts.as_ref().expect("a demo case is readable");
        let reference = facts.case.reference.as_str();
        let patient = &facts.case.patient;
        let born = patient.born.clinical();
        let number = facts.derived.nhs_number.get().map(|number| squeezed(number));
        let folders = commands.map(|command| out(command).join(reference));
        let entries =
            folders.iter().flat_map(|folder| std::fs::read_dir(folder).expect("a folder for each case"));
        for pdf in entries.map(|entry| entry.expect("an entry can be read").path()) {
            if pdf.extension().is_none_or(|ending| ending != "pdf") {
                continue;
            }
            looked_at += 1;
            let told = tool("pdfinfo", &["-enc", "UTF-8", "-struct-text", &pdf.to_string_lossy()]);
            let told = squeezed(&told.replace('"', ""));
            let title = tool("pdfinfo", &["-enc", "UTF-8", &pdf.to_string_lossy()]);
            let title = title.lines().find(|line| line.starts_with("Title:")).expect("every PDF has a title");
            let is_draft = pdf.to_string_lossy().ends_with("-draft.pdf");
            for words in [&patient.family.to_uppercase(), &patient.given, reference] {
                assert!(told.contains(&squeezed(words)), "{}: {words}\n{told}", pdf.display());
            }
            let has_date = told.contains(&squeezed(&born))
                || told.contains(&squeezed(&patient.born.0.format("%-d %B %Y").to_string()));
            assert!(has_date, "{}: {born}", pdf.display());
            // A leaflet is left lying about, and bears no number.
            let printed = squeezed(&tool("pdftotext", &["-l", "1", &pdf.to_string_lossy(), "-"]));
            if let Some(number) = number.as_ref().filter(|number| printed.contains(number.as_str())) {
                assert!(told.contains(number), "{}: {number}", pdf.display());
            }
            assert_eq!(told.contains("DRAFT"), is_draft, "{}: DRAFT", pdf.display());
            assert_eq!(title.contains("DRAFT"), is_draft, "{title}");
            // Once: on the other pages they are furniture.
            let foot = told.matches(&squeezed(reference)).count();
            assert!(foot <= 4, "{}: the reference is told {foot} times", pdf.display());
        }
    }
    assert_eq!(looked_at, 2 * documents_of_the_demo_cases());
}

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect()
}
