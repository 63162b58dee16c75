//! Trying templates on every demo case before they are used for a patient: does each document come
//! out whole, and does it still say whose it is, which toe it is about and that a draft is a draft?
//!
//! In memory, pure. It judges templates, never a case.

mod acting;
mod failures;
mod remarks;

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};

use serde_json::Value as Json;

use acting::{forbidden_looks, unsafe_places};
use failures::{Failures, place_of};
use remarks::remarks;

use crate::demo;
use crate::documents::{
    ChangedPhrase, DOCUMENTS, Document, Edition, LISTS, List, Paper, Replaces, Template, can_be_made,
    missing_words_of_list, ready_papers,
};
use crate::facts::{Caseload, Facts, LastVersion, LeftOut, OneCase, Open};
use crate::pipeline::{Checked, ListMeta, Press, SetError, SetFault, Version, check};
use crate::render::Known;
use crate::typeset::{MissingGlyph, TypesetError, Typesetter, each};

/// What is found still open in a draft of the trial.
const OPEN: [&str; 2] =
    ["stop: an invented finding: made up for the trial", "caution: another invented finding: made up too"];

/// Why a document of the trial is issued again.
const BECAUSE: &str = "invented reason";

/// What is said to have changed in it.
const CHANGED: [&str; 2] = ["phrase that stood before", "phrase that stands now"];

/// In which form a document is tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Form {
    /// Issued for the first time.
    Issued,
    /// Issued again, with a reason and a table of changes.
    Amended,
    /// A draft with open findings.
    Draft,
}

impl Form {
    const ALL: [Form; 3] = [Form::Issued, Form::Amended, Form::Draft];

    fn edition(self, checked: &Checked) -> Edition {
        let replaces = (self == Form::Amended).then(|| Replaces {
            version: 1,
            issued_on: demo::today(),
            because: BECAUSE.into(),
            changes: vec![ChangedPhrase { was: CHANGED[0].into(), is: CHANGED[1].into() }],
        });
        let version = match self {
            Form::Draft => Version::Draft,
            Form::Issued => Version::Issue { version: 1, replaces },
            Form::Amended => Version::Issue { version: 2, replaces },
        };
        let mut edition = checked.edition(version, demo::today());
        if self == Form::Draft {
            edition.open.extend(OPEN.map(str::to_owned));
        }
        edition
    }
}

/// What a trial came to.
#[derive(Debug, Default)]
pub(crate) struct Trial {
    /// How many documents came out.
    pub(crate) made: usize,
    /// From how many demo cases.
    pub(crate) cases: usize,
    /// What is wrong, each mistake once, with where it shows.
    pub(crate) failures: Vec<String>,
    /// What a clinic may want to know, though nothing is wrong.
    pub(crate) remarks: Vec<String>,
}

/// Tries every document on every demo case, as issued and as a draft; on one case as issued again.
pub(crate) fn run(press: &Press, threads: usize) -> Trial {
    let cases = demo::variants();
    let mut tried: Vec<Tried> = LISTS.iter().map(|list| try_list(press, list)).collect();
    // A panic inside is caught where it happens.
    let of_case = |(name, text): &(&'static str, &'static str)| {
        let tried = try_case(press, name, text);
        Typesetter::evict();
        tried
    };
    tried.extend(each(&cases, threads, of_case).into_iter().flatten());
    tried.sort_by_key(|one| {
        (order(one.document), cases.iter().position(|(name, _)| *name == one.case), one.form)
    });
    let mut failures = Failures::default();
    let known = known(&tried);
    let mut has_unknown = Vec::new();
    for template in all_templates() {
        let Some(known) = known.get(template.name) else { continue };
        for unknown in press.templates.named(template.file, known).unknown {
            let all = tried.iter().filter(|one| one.document == template.name);
            let place = format!("{}:{}", unknown.template, unknown.line);
            all.for_each(|one| failures.add(Some(place.clone()), unknown.to_string(), one));
            has_unknown.push(template.name);
        }
    }
    for one in &tried {
        for line in &one.failures {
            let place = place_of(line);
            // Words that are missing where a value is misspelt are missing because of it.
            if place.is_some() || !has_unknown.contains(&one.document) {
                failures.add(place, line.clone(), one);
            }
        }
    }
    let mut failures = [forbidden_looks(press), failures.worded(press, &tried)].concat();
    if tried.is_empty() {
        failures.push("no thread could be started to try the templates".into());
    }
    let made = tried.iter().filter(|one| one.failures.is_empty()).count();
    Trial { made, cases: cases.len(), failures, remarks: Vec::new() }
}

/// The same, with remarks: compared with the built-in templates, documents that have grown longer and
/// values that are no longer used.
pub(crate) fn run_with_remarks(press: &Press, threads: usize) -> Trial {
    let mut trial = run(press, threads);
    if trial.failures.is_empty() && press.templates.own_files().next().is_some() {
        trial.remarks = remarks(press);
    }
    trial
}

/// A document that was tried.
struct Tried {
    document: &'static str,
    case: &'static str,
    form: Form,
    view: Json,
    failures: Vec<String>,
}

/// The template of every document and of every list.
fn all_templates() -> impl Iterator<Item = Template> {
    let documents = DOCUMENTS.iter().map(|document| Template::from(*document));
    documents.chain(LISTS.iter().map(|list| Template::from(*list)))
}

fn order(document: &str) -> usize {
    all_templates().position(|one| one.name == document).unwrap_or(usize::MAX)
}

fn check_demo(name: &str, text: &str) -> Checked {
    check(demo::source(name, text), &demo::clinic(), demo::today())
}

fn try_case(press: &Press, case: &'static str, text: &str) -> Vec<Tried> {
    let checked = check_demo(case, text);
    let Some(facts) = &checked.facts else { return Vec::new() };
    let mut tried = Vec::new();
    for paper in ready_papers(facts) {
        let document = paper.document;
        for form in Form::ALL {
            // A case with open findings is never issued. What an amended document says of its changes is
            // the same in every case: the first of which it can be made stands for all.
            let is_tried = match form {
                Form::Draft => true,
                Form::Issued => checked.blocking() == 0,
                Form::Amended => first_case_of(document) == Some(case),
            };
            if !is_tried {
                continue;
            }
            let edition = form.edition(&checked);
            let view = paper.view(facts, &edition);
            let result =
                catch_unwind(AssertUnwindSafe(|| try_one(press, paper, facts, &edition, &view, form)));
            let failures =
                result.unwrap_or_else(|_| vec![format!("{}: the typesetter broke", document.template)]);
            tried.push(Tried { document: document.name, case, form, view, failures });
        }
    }
    tried
}

/// What stands for the demo cases where a list of them all is tried.
const ALL_CASES: &str = "all";

/// A file that a list of the trial has to own up to.
const LEFT_OUT: [&str; 2] = ["left-out.yaml", "line 3: an invented fault"];

/// Tries a list of all demo cases, and one in which nobody stands.
fn try_list(press: &Press, list: &'static List) -> Tried {
    let checked: Vec<(&str, Checked)> =
        demo::variants().into_iter().map(|(name, text)| (name, check_demo(name, text))).collect();
    let finders: Vec<Box<dyn Fn() -> Vec<Open> + '_>> = checked
        .iter()
        .map(|(_, checked)| Box::new(|| checked.open()) as Box<dyn Fn() -> Vec<Open> + '_>)
        .collect();
    let issued = [LastVersion {
        document: "gp-letter".to_owned(),
        version: 2,
        issued: demo::today(),
        file: "LFC-0100/LFC-0100-gp-letter-2.pdf".to_owned(),
        gone: Vec::new(),
        gone_before: Some((1, demo::today())),
    }];
    let rows: Vec<OneCase<'_>> = checked
        .iter()
        .zip(&finders)
        .filter_map(|((file, checked), open)| {
            Some(OneCase { file, facts: checked.facts.as_ref()?, open, issued: &issued })
        })
        .collect();
    let of = |rows: Vec<OneCase<'_>>| {
        let clinic = checked.iter().find_map(|(_, checked)| Some((*checked.facts.as_ref()?.clinic).clone()));
        let left_out = LeftOut { file: LEFT_OUT[0].to_owned(), why: LEFT_OUT[1].to_owned() };
        list.view_of(Caseload {
            read: rows.len(),
            unread: 1,
            rows,
            left_out: vec![left_out],
            clinic: clinic.expect("a demo case reads, which is tested"),
            today: demo::today(),
            made_at: None,
            replaces: None,
        })
    };
    let (view, nobody) = (of(rows.clone()), of(Vec::new()));
    let tried = || {
        let unsafe_places = unsafe_places(press, list, &view);
        if !unsafe_places.is_empty() {
            return unsafe_places;
        }
        let mut failures = Vec::new();
        let named = if list.names_cases { rows.as_slice() } else { &[] };
        for (view, rows) in [(&view, named), (&nobody, &[])] {
            let meta = ListMeta { about: "", clinic: "", on: demo::today() };
            match press.set_list(list, view, &meta) {
                Ok(pages) => failures.extend(missing_words_of_list(rows, &LEFT_OUT, &pages.printed())),
                Err(problem) => failures.extend(lines(press, &problem)),
            }
        }
        distinct(failures)
    };
    let failures = catch_unwind(AssertUnwindSafe(tried))
        .unwrap_or_else(|_| vec![format!("{}: the typesetter broke", list.template)]);
    Tried { document: list.name, case: ALL_CASES, form: Form::Issued, view, failures }
}

/// The first demo case of which a document can be made.
fn first_case_of(document: &'static Document) -> Option<&'static str> {
    let is_made = |text: &str| {
        let checked = check_demo("first", text);
        checked.facts.is_some_and(|facts| can_be_made(document, &facts))
    };
    demo::CASES.iter().find(|(_, text)| is_made(text)).map(|(name, _)| *name)
}

fn try_one(
    press: &Press,
    paper: Paper,
    facts: &Facts,
    edition: &Edition,
    view: &Json,
    form: Form,
) -> Vec<String> {
    let document = paper.document;
    let unsafe_places = unsafe_places(press, document, view);
    if !unsafe_places.is_empty() {
        return unsafe_places;
    }
    let pages = match press.lay_out(document, view) {
        Ok(pages) => pages,
        Err(problem) => return lines(press, &problem),
    };
    let mut failures = press.unsafe_pages(paper, facts, edition, view, &pages);
    // What the standards of a PDF refuse, they refuse in a draft as well.
    if form != Form::Draft
        && let Err(problem) = press.export(paper, view, facts, edition, pages)
    {
        failures.extend(lines(press, &problem));
    }
    failures
}

/// The lines of a mistake, with the place of a character that no typeface has, if it is in a template.
fn lines(press: &Press, problem: &SetError) -> Vec<String> {
    let SetFault::Typeset(TypesetError::MissingGlyphs(glyphs)) = &problem.fault else {
        return problem.lines();
    };
    let line = |glyph: &MissingGlyph| match press.templates.find(&glyph.character) {
        Some((file, line)) => {
            let code = glyph.character.chars().next().map_or(0, u32::from);
            format!("{file}:{line}: no typeface here has the character `{}` (U+{code:04X})", glyph.character)
        }
        None => format!("{}: {glyph}", problem.document),
    };
    glyphs.iter().map(line).collect()
}

fn known(tried: &[Tried]) -> BTreeMap<&'static str, Known> {
    let mut known: BTreeMap<&'static str, Known> = BTreeMap::new();
    for one in tried {
        known.entry(one.document).or_default().learn(&one.view);
    }
    known
}

fn distinct<T: PartialEq>(items: impl IntoIterator<Item = T>) -> Vec<T> {
    let mut all = Vec::new();
    for item in items {
        if !all.contains(&item) {
            all.push(item);
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::Templates;
    use crate::render::embedded::EMBEDDED;

    /// The built-in templates with a line more before the subject of the letter.
    fn with_line(line: &str) -> Press {
        changed(&[("gp-letter/main.typ", "\n#subject(", &format!("\n{line}\n#subject("))])
    }

    /// The built-in templates with texts of some files replaced.
    fn changed(changes: &[(&str, &str, &str)]) -> Press {
        let mut files: BTreeMap<String, String> = BTreeMap::new();
        for (name, from, to) in changes {
            let built_in =
                || EMBEDDED.iter().find(|file| file.name == *name).expect("a template").text.to_owned();
            let text = files.entry((*name).to_owned()).or_insert_with(built_in);
            assert!(text.contains(from), "{name} no longer says {from}");
            *text = text.replace(from, to);
        }
        Press::with(Templates::with_overrides(files.into_iter().collect()).expect("it parses"))
    }

    #[test]
    fn the_built_in_templates_pass_in_every_form() {
        let trial = run(&Press::built_in(), 2);
        assert_eq!(trial.failures, Vec::<String>::new());
        assert_eq!(trial.cases, demo::variants().len());
        // As issued and as a draft, each paper of each demo case.
        let papers = demo::CASES.iter().map(|(name, text)| {
            let facts = check_demo(name, text).facts.expect("a demo case can be read");
            ready_papers(&facts).count()
        });
        let papers: usize = papers.sum();
        assert!(trial.made > 2 * papers, "{} of {papers} papers", trial.made);
    }

    #[test]
    fn one_mistake_is_said_once_with_where_it_shows() {
        let trial = run(&changed(&[("layout.typ", "#let unit =", "#let unot =")]), 2);
        assert_eq!(trial.failures.len(), 1, "{:#?}", trial.failures);
        let said = &trial.failures[0];
        assert!(said.starts_with("layout.typ:") && said.contains("unknown variable: unit\n"), "{said}");
        let everywhere = crate::words::List::and(all_templates().map(|template| template.name));
        assert!(said.ends_with(&format!("shows in {everywhere}, every demo case")), "{said}");
        assert_eq!(trial.made, 0);
    }

    #[test]
    fn what_a_page_must_say_is_missed() {
        let press = changed(&[
            ("consent-form/main.typ", "{% include \"patient/toe.typ\" %}", "a toe"),
            ("consent-form/main.typ", "{{ toe.clinical }}", "toe"),
            ("page.typ", "draft: {% if page.is_draft %}true{% else %}false{% endif %}", "draft: false"),
            ("aftercare-leaflet/main.typ", "{{ page.reference | str }}", "\"\""),
            ("gp-letter/main.typ", "{% include \"amended.typ\" %}", ""),
            (
                "operation-note/main.typ",
                "#section(\"Before surgery\")",
                "#section(\"{% raw %}{{{% endraw %} x }}\")",
            ),
        ]);
        let said = run(&press, 2).failures;
        for expected in [
            "not every toe that the document is about is named in words\n  shows in consent-form, every demo case",
            "a draft does not say DRAFT on every page\n  shows in operation-note, gp-letter, visit-note and visit-letter, every demo case, in drafts only",
            "the reference does not stand on every page\n  shows in aftercare-leaflet, ",
            "has changed\n  shows in gp-letter, only when issued again",
            "only in the other files\n  shows in operation-note, every demo case",
            "see `page-head` and `page-foot` in layout.typ)\n  shows in gp-letter, aftercare-leaflet and visit-letter, every",
        ] {
            assert!(said.iter().any(|one| one.contains(expected)), "{expected}\n{said:#?}");
        }
        assert_eq!(said.len(), 6, "{said:#?}");
        let press = changed(&[("layout.typ", "weight: \"bold\", banner.name)", "weight: \"bold\", [])")]);
        let said = run(&press, 2).failures;
        assert!(said[0].starts_with("the patient’s name does not stand on every page\n"), "{said:#?}");
    }

    #[test]
    fn a_page_that_hides_what_went_wrong_is_found() {
        let account = "{% if one.what_happened %}{{ one.what_happened }}{% else %}What happened is not recorded{% endif %}";
        let press = changed(&[("gp-letter/main.typ", account, "an incident")]);
        let said = run(&press, 2).failures;
        assert_eq!(said.len(), 1, "{said:#?}");
        assert!(said[0].starts_with("what went wrong is not told\n"), "{said:#?}");
        assert!(said[0].contains("shows in gp-letter, "), "{said:#?}");
    }

    /// A letter that was filled in by hand once and kept as a template.
    #[test]
    fn a_toe_that_stands_in_the_template_is_found() {
        let press = with_line("The left hallux was done.");
        let said = run(&press, 2).failures;
        assert_eq!(said.len(), 1, "{said:#?}");
        assert!(said[0].starts_with("a toe is named that the case does not hold"), "{said:#?}");
        assert!(
            said[0].contains("shows in gp-letter, ") && !said[0].contains("every demo case"),
            "{said:#?}"
        );
    }

    #[test]
    fn a_place_where_a_value_acts_is_found() {
        for (place, says) in [
            ("#text(\"{{ allergies }}\")", "would act as code"),
            ("/* {{ allergies }} */", "would act as code"),
            ("`{{ allergies }}`", "would act as code"),
            ("```{{ allergies }}```", "would act as code"),
            ("#eval({{ allergies | str }}, mode: \"markup\")", "`eval` would let"),
            ("#datetime.today().display()", "`today` would make"),
        ] {
            let press = with_line(place);
            let checked = check_demo(demo::CASES[0].0, demo::CASES[0].1);
            let document = crate::documents::document("gp-letter").expect("there is a letter");
            let facts = checked.facts.as_ref().expect("it reads");
            let view = Paper::once(document).view(facts, &Form::Issued.edition(&checked));
            let found = unsafe_places(&press, document, &view);
            assert!(found.len() == 1 && found[0].contains(says), "{place}: {found:?}");
            let line = EMBEDDED
                .iter()
                .find(|file| file.name == "gp-letter/main.typ")
                .and_then(|file| file.text.lines().position(|line| line.starts_with("#subject(")))
                .expect("the subject has a line");
            assert!(
                found[0].starts_with(&format!("gp-letter/main.typ:{}: ", line + 1)),
                "{place}: {found:?}"
            );
        }
        let press = changed(&[("layout.typ", "#let unit =", "#let e = eval\n#let unit =")]);
        assert!(forbidden_looks(&press)[0].contains("`eval`"));
    }

    /// A letter that shortens long texts must not be taken for one in which texts act.
    #[test]
    fn a_condition_on_the_length_of_a_text_is_no_danger() {
        let shortened =
            "{% if allergies | length > 5 %}*{{ allergies }}*{% else %}{{ allergies }}{% endif %}";
        let press = with_line(shortened);
        assert_eq!(run(&press, 2).failures, Vec::<String>::new());
    }

    #[test]
    fn a_character_that_no_typeface_has_is_found_in_its_template() {
        let press = changed(&[("gp-letter/main.typ", "Yours sincerely", "ሰ Yours")]);
        let said = run(&press, 2).failures;
        assert_eq!(said.len(), 1, "{said:#?}");
        assert!(said[0].starts_with("gp-letter/main.typ:") && said[0].contains("`ሰ` (U+1230)"), "{said:#?}");
    }

    #[test]
    fn longer_documents_and_values_left_out_are_remarks() {
        let press = changed(&[
            ("gp-letter/main.typ", "\n#subject(", "\n#v(12cm)\n#subject("),
            ("gp-letter/main.typ", "{{ patient.address }}", ""),
            ("gp-letter/main.typ", "{% if patient.address %}", "{% if true %}"),
        ]);
        let trial = run_with_remarks(&press, 2);
        assert_eq!(trial.failures, Vec::<String>::new());
        let said = trial.remarks;
        assert!(
            said[0].starts_with("gp-letter takes 2 pages where the built-in templates take 1: "),
            "{said:?}"
        );
        assert_eq!(
            said.last().map(String::as_str),
            Some("gp-letter no longer uses `patient.address`"),
            "{said:?}"
        );
        assert_eq!(run_with_remarks(&Press::built_in(), 2).remarks, Vec::<String>::new());
    }
}
