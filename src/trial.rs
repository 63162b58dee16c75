//! Trying templates on every demo case before they are used for a patient: does each document come
//! out whole, and does it still say whose it is, which toe it is about and that a draft is a draft?
//!
//! In memory, pure. It judges templates, never a case.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicUsize, Ordering};

use serde_json::Value as Json;

use crate::case::{Edge, Nail, Toe};
use crate::demo;
use crate::diagnostic::english::{Count, List};
use crate::documents::{ChangedPhrase, DOCUMENTS, Document, Edition, Replaces, Toes};
use crate::facts::Facts;
use crate::pipeline::{Checked, Press, SetError, SetFault, Version, check};
use crate::render::Known;
use crate::typeset::{MissingGlyph, STACK, TypesetError, Typesetter, syntax};

/// Texts that act in Typst or in Tera wherever they are not kept from it: in text and code, in a
/// comment, in a raw block.
const ACTING: [&str; 3] =
    [r##"#x "y" $a$ *b* _c_ @d <e> [f] \ {{ h }} {% i %} // /* */ = + - `j` ~ ] ) "##, "*/ #x", "``` #x"];

/// What is found still open in a draft of the trial.
const OPEN: [&str; 2] =
    ["stop: an invented finding: made up for the trial", "caution: another invented finding: made up too"];

/// Why a document of the trial is issued again.
const BECAUSE: &str = "invented reason";

/// What is said to have changed in it.
const CHANGED: [&str; 2] = ["phrase that stood before", "phrase that stands now"];

/// Characters of what happened by which it is found on the pages.
const ACCOUNT: usize = 40;

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
pub struct Trial {
    /// How many documents came out.
    pub made: usize,
    /// From how many demo cases.
    pub cases: usize,
    /// What is wrong, each mistake once, with where it shows.
    pub failures: Vec<String>,
    /// What a clinic may want to know, though nothing is wrong.
    pub remarks: Vec<String>,
}

/// Tries every document on every demo case, as issued and as a draft; on one case as issued again.
pub fn run(press: &Press, threads: usize) -> Trial {
    let cases = demo::variants();
    let next = AtomicUsize::new(0);
    let work = || {
        let mut tried = Vec::new();
        while let Some((name, text)) = cases.get(next.fetch_add(1, Ordering::Relaxed)) {
            tried.extend(try_case(press, name, text));
            Typesetter::evict();
        }
        tried
    };
    let mut tried: Vec<Tried> = std::thread::scope(|scope| {
        let start = || std::thread::Builder::new().stack_size(STACK).spawn_scoped(scope, work).ok();
        let workers: Vec<_> = (0..threads.clamp(1, cases.len())).filter_map(|_| start()).collect();
        // A panic inside is caught where it happens.
        workers.into_iter().filter_map(|worker| worker.join().ok()).flatten().collect()
    });
    tried.sort_by_key(|one| {
        (order(one.document), cases.iter().position(|(name, _)| *name == one.case), one.form)
    });
    let mut failures = Failures::default();
    let known = known(&tried);
    let mut has_unknown = Vec::new();
    for document in DOCUMENTS {
        let Some(known) = known.get(document.name) else { continue };
        for unknown in press.templates.named(document.template, known).unknown {
            let all = tried.iter().filter(|one| one.document == document.name);
            let place = format!("{}:{}", unknown.template, unknown.line);
            all.for_each(|one| failures.add(Some(place.clone()), unknown.to_string(), one));
            has_unknown.push(document.name);
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
pub fn run_with_remarks(press: &Press, threads: usize) -> Trial {
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

fn order(document: &str) -> usize {
    DOCUMENTS.iter().position(|one| one.name == document).unwrap_or(usize::MAX)
}

fn check_demo(name: &str, text: &str) -> Checked {
    check(demo::source(name, text), &demo::clinic(), demo::today())
}

fn try_case(press: &Press, case: &'static str, text: &str) -> Vec<Tried> {
    let checked = check_demo(case, text);
    let Some(facts) = &checked.facts else { return Vec::new() };
    let mut tried = Vec::new();
    for document in DOCUMENTS.iter().copied().filter(|document| (document.missing)(facts).is_empty()) {
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
            let view = (document.view)(facts, &edition);
            let result =
                catch_unwind(AssertUnwindSafe(|| try_one(press, document, facts, &edition, &view, form)));
            let failures =
                result.unwrap_or_else(|_| vec![format!("{}: the typesetter broke", document.template)]);
            tried.push(Tried { document: document.name, case, form, view, failures });
        }
    }
    tried
}

/// The first demo case of which a document can be made.
fn first_case_of(document: &Document) -> Option<&'static str> {
    let is_made = |text: &str| {
        let checked = check_demo("first", text);
        checked.facts.is_some_and(|facts| (document.missing)(&facts).is_empty())
    };
    demo::CASES.iter().find(|(_, text)| is_made(text)).map(|(name, _)| *name)
}

fn try_one(
    press: &Press,
    document: &'static Document,
    facts: &Facts,
    edition: &Edition,
    view: &Json,
    form: Form,
) -> Vec<String> {
    let unsafe_places = unsafe_places(press, document, view);
    if !unsafe_places.is_empty() {
        return unsafe_places;
    }
    let pages = match press.lay_out(document, view) {
        Ok(pages) => pages,
        Err(problem) => return lines(press, &problem),
    };
    let mut failures = missing_words(document, facts, form, &pages.printed());
    // What the standards of a PDF refuse, they refuse in a draft as well.
    if form != Form::Draft
        && let Err(problem) = press.export(document, view, facts, edition, pages)
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

/// Places at which a text of a case would act as code, and things no template may ask for.
fn unsafe_places(press: &Press, document: &'static Document, view: &Json) -> Vec<String> {
    let templates = &press.templates;
    let of_line = |at: usize, source: &str, view: &Json| {
        let before = source.get(..at).unwrap_or(source);
        let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        let origins = templates.origins(document.template, view)?;
        origins.of(before.matches('\n').count() + 1, column).map(|(file, line)| format!("{file}:{line}"))
    };
    let place = |at, source: &str, view: &Json| {
        of_line(at, source, view).unwrap_or_else(|| document.template.to_owned())
    };
    let filled = |text: &str| {
        let view = with_every_text(view, text);
        (templates.render(document.template, &view), view)
    };
    let mut found = Vec::new();
    for acting in ACTING {
        // As long and with as many words: a condition on that must not tell them apart.
        let tame: String = acting.chars().map(|c| if c == ' ' { ' ' } else { 'x' }).collect();
        let ((Ok(tame), tame_view), (Ok(acting), _)) = (filled(&tame), filled(acting)) else {
            // What cannot be filled is said when it is filled with the case itself.
            return Vec::new();
        };
        if let Some(forbidden) = syntax::forbidden(&tame.main) {
            found.push(format!("{}: {}", place(forbidden.at, &tame.main, &tame_view), forbidden.says));
        }
        let Some(at) = syntax::first_difference(&tame.main, &acting.main) else { continue };
        found.push(format!(
            "{}: a value stands where its text would act as code: in quotation marks, in a comment, in a raw block \
             or in code; write `{{{{ x }}}}` in text and `{{{{ x | str }}}}` in code",
            place(at, &tame.main, &tame_view)
        ));
    }
    distinct(found)
}

/// Things that no template may ask for, in the files of looks.
fn forbidden_looks(press: &Press) -> Vec<String> {
    let looks = press.templates.looks().iter().filter_map(|(name, text)| {
        let forbidden = syntax::forbidden(text)?;
        let line = text.get(..forbidden.at).unwrap_or("").matches('\n').count() + 1;
        Some(format!("{name}:{line}: {}", forbidden.says))
    });
    looks.collect()
}

fn with_every_text(view: &Json, text: &str) -> Json {
    match view {
        Json::String(old) if !old.is_empty() => Json::String(text.into()),
        Json::Array(items) => items.iter().map(|item| with_every_text(item, text)).collect(),
        Json::Object(keys) => {
            keys.iter().map(|(key, value)| (key.clone(), with_every_text(value, text))).collect()
        }
        other => other.clone(),
    }
}

/// Words as a reader sees them, however the lines break: no blanks, no hyphens, small letters.
fn squeezed(text: &str) -> String {
    let is_break = |c: char| c.is_whitespace() || matches!(c, '-' | '\u{2010}' | '\u{2011}' | '\u{ad}');
    text.chars().filter(|c| !is_break(*c)).flat_map(char::to_lowercase).collect()
}

/// What a page must say, whatever it looks like, so that it is not taken for another patient's, about
/// another toe, or for a final one.
fn missing_words(document: &Document, facts: &Facts, form: Form, pages: &[String]) -> Vec<String> {
    let pages: Vec<String> = pages.iter().map(|page| squeezed(page)).collect();
    let whole = pages.concat();
    let on_every_page = |words: &str| pages.iter().all(|page| page.contains(&squeezed(words)));
    let anywhere = |words: &str| whole.contains(&squeezed(words));
    let mut missing = Vec::new();
    let mut must = |is_there: bool, says: &str| {
        if !is_there {
            missing.push(says.to_owned());
        }
    };
    let patient = &facts.case.patient;
    must(
        on_every_page(&patient.family) && on_every_page(&patient.given),
        "the patient’s name does not stand on every page",
    );
    must(
        !anywhere("{{") && !anywhere("{%"),
        "`{{` or `{%` is printed: no value is filled in in layout.typ and parts, only in the other files",
    );
    must(on_every_page(facts.case.reference.as_str()), "the reference does not stand on every page");
    match form {
        Form::Draft => must(on_every_page("DRAFT"), "a draft does not say DRAFT on every page"),
        Form::Issued => must(!anywhere("DRAFT"), "an issued document says DRAFT"),
        Form::Amended => {
            let says_all = [BECAUSE, CHANGED[0], CHANGED[1]].into_iter().all(anywhere);
            must(says_all, "an amended document does not say why it was issued again and what has changed");
        }
    }
    let is_named = |toe: Toe| anywhere(&toe.clinical()) || anywhere(&toe.plain());
    let toes = toes(document, facts);
    must(
        toes.iter().all(|(toe, ..)| is_named(*toe)),
        "not every toe that the document is about is named in words",
    );
    // The beginning, since a long account may run on to the next page.
    let accounts = facts.case.incidents.iter().filter_map(|incident| incident.what_happened.as_deref());
    let mut beginnings = accounts.map(|account| account.chars().take(ACCOUNT).collect::<String>());
    must(
        !document.tells_incidents || beginnings.all(|beginning| anywhere(beginning.trim_end_matches('.'))),
        "what went wrong is not told",
    );
    let own = own_toes(facts);
    must(
        !Toe::ALL.into_iter().any(|toe| !own.contains(&toe) && is_named(toe)),
        "a toe is named that the case does not hold: a toe comes from the case, never from the template",
    );
    let edges = toes.iter().filter(|(_, nail, _)| *nail == Nail::Partial).flat_map(|(.., edges)| *edges);
    must(
        edges.into_iter().all(|edge: &Edge| anywhere(edge.word()) || anywhere(edge.plain())),
        "it is not said which edge of the nail is meant",
    );
    missing
}

/// The toes that a document is about.
fn toes<'a>(document: &Document, facts: &'a Facts) -> Vec<(Toe, Nail, &'a [Edge])> {
    match document.toes {
        Toes::Planned => facts
            .planned()
            .into_iter()
            .map(|(toe, planned)| (toe, planned.nail, planned.edges.as_slice()))
            .collect(),
        Toes::Operated => {
            facts.operated().into_iter().map(|(toe, done)| (toe, done.nail, done.edges.as_slice())).collect()
        }
        Toes::NotShown => Vec::new(),
    }
}

/// Every toe of which the case says anything.
fn own_toes(facts: &Facts) -> Vec<Toe> {
    let case = &facts.case;
    let problem = case.affected().into_iter().flat_map(|toes| toes.0.keys());
    let not_done =
        case.operation.iter().filter_map(|done| done.not_done.as_ref()).flat_map(|toes| toes.0.keys());
    let planned = facts.planned().into_iter().map(|(toe, _)| toe);
    let operated = facts.operated().into_iter().map(|(toe, _)| toe);
    let consented = facts.consented().into_iter().map(|(toe, _)| toe);
    problem.chain(not_done).copied().chain(planned).chain(operated).chain(consented).collect()
}

/// What changed templates give beside what the built-in ones give.
fn remarks(press: &Press) -> Vec<String> {
    let built_in = Press::built_in();
    let mut remarks = Vec::new();
    let mut known: BTreeMap<&'static str, Known> = BTreeMap::new();
    // Document, pages with these templates, pages with the built-in ones: the cases.
    let mut longer: BTreeMap<(&'static str, usize, usize), Vec<&'static str>> = BTreeMap::new();
    let mut cases: BTreeMap<&'static str, usize> = BTreeMap::new();
    for (name, text) in demo::CASES {
        let checked = check_demo(name, text);
        let Some(facts) = &checked.facts else { continue };
        for document in DOCUMENTS.iter().copied().filter(|document| (document.missing)(facts).is_empty()) {
            let view = (document.view)(facts, &Form::Issued.edition(&checked));
            known.entry(document.name).or_default().learn(&view);
            let pages =
                |press: &Press| press.lay_out(document, &view).map_or(0, |pages| pages.printed().len());
            let (own, usual) = (pages(press), pages(&built_in));
            *cases.entry(document.name).or_insert(0) += 1;
            if own > usual {
                longer.entry((document.name, own, usual)).or_default().push(case_name(name));
            }
        }
        Typesetter::evict();
    }
    for document in DOCUMENTS {
        for ((_, own, usual), shown) in longer.iter().filter(|((name, ..), _)| *name == document.name) {
            let all = cases.get(document.name).copied().unwrap_or(0);
            remarks.push(format!(
                "{} takes {} where the built-in templates take {usual}: {}",
                document.name,
                Count(*own, "page"),
                in_cases(shown, all)
            ));
        }
        let Some(known) = known.get(document.name) else { continue };
        let named = |press: &Press| press.templates.named(document.template, known).values;
        let own = named(press);
        let gone: Vec<String> = named(&built_in).into_iter().filter(|value| !own.contains(value)).collect();
        if !gone.is_empty() {
            remarks.push(format!(
                "{} no longer uses {}",
                document.name,
                List::and(gone.iter().map(|value| format!("`{value}`")))
            ));
        }
    }
    remarks
}

fn case_name(file: &str) -> &str {
    file.trim_end_matches(".yaml")
}

fn known(tried: &[Tried]) -> BTreeMap<&'static str, Known> {
    let mut known: BTreeMap<&'static str, Known> = BTreeMap::new();
    for one in tried {
        known.entry(one.document).or_default().learn(&one.view);
    }
    known
}

/// `gp-letter/main.typ:12` of `gp-letter/main.typ:12:5: …`.
fn place_of(line: &str) -> Option<String> {
    let (file, rest) = line.split_once(':')?;
    let number: String = rest.chars().take_while(char::is_ascii_digit).collect();
    (!number.is_empty()).then(|| format!("{file}:{number}"))
}

/// Mistakes, each once, with the documents in which they show.
#[derive(Default)]
struct Failures(Vec<Failure>);

struct Failure {
    place: Option<String>,
    says: String,
    shows: Vec<(&'static str, &'static str, Form)>,
}

impl Failures {
    /// A mistake at a place that is known already is the same mistake.
    fn add(&mut self, place: Option<String>, says: String, tried: &Tried) {
        let is_same = |known: &&mut Failure| match (&known.place, &place) {
            (Some(one), Some(other)) => one == other,
            (one, other) => one == other && known.says == says,
        };
        let shows = (tried.document, tried.case, tried.form);
        match self.0.iter_mut().find(is_same) {
            Some(known) if known.shows.contains(&shows) => {}
            Some(known) => known.shows.push(shows),
            None => self.0.push(Failure { place, says, shows: vec![shows] }),
        }
    }

    fn worded(self, press: &Press, tried: &[Tried]) -> Vec<String> {
        let mut failures = self.0;
        // By file and line; what has no place comes last.
        failures.sort_by_key(|failure| {
            let (file, line) = failure.place.as_deref().and_then(|place| place.rsplit_once(':')).unzip();
            (file.is_none(), file.map(str::to_owned), line.and_then(|line| line.parse::<usize>().ok()))
        });
        failures.into_iter().map(|failure| failure.worded(press, tried)).collect()
    }
}

impl Failure {
    fn worded(&self, press: &Press, tried: &[Tried]) -> String {
        let documents = distinct(self.shows.iter().map(|(document, ..)| *document));
        let cases = distinct(self.shows.iter().map(|(_, case, _)| case_name(case)));
        let forms = distinct(self.shows.iter().map(|(.., form)| *form));
        let is_alike = |one: &&Tried| documents.contains(&one.document) && forms.contains(&one.form);
        let all_cases = distinct(tried.iter().filter(is_alike).map(|one| case_name(one.case)));
        let of_cases = format!(", {}", in_cases(&cases, all_cases.len()));
        let shown = match forms.as_slice() {
            [Form::Draft] => format!("{of_cases}, in drafts only"),
            // Tried on one case.
            [Form::Amended] => ", only when issued again".to_owned(),
            _ => of_cases,
        };
        let mut text = format!("{}\n  shows in {}{shown}", self.says, List::and(&documents));
        let file = self.place.as_deref().and_then(|place| place.split_once(':')).map(|(file, _)| file);
        if let Some(file) = file.filter(|file| !press.templates.own_files().any(|own| own == *file)) {
            let own = List::or_ticked(press.templates.own_files());
            text.push_str(&format!(
                "\n  `{file}` is built in: look for what it needs and does not find in {own}"
            ));
        }
        text
    }
}

/// `every demo case`, `routine-adult`, `routine-adult, young-person-17 and 5 other cases`.
fn in_cases(cases: &[&str], all: usize) -> String {
    match cases {
        _ if cases.len() == all => "every demo case".to_owned(),
        [first, second, rest @ ..] if rest.len() > 1 => {
            format!("{first}, {second} and {} other cases", rest.len())
        }
        few => List::and(few).to_string(),
    }
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
        assert_eq!(trial.cases, demo::CASES.len() + 1);
        // As issued and as a draft, each usual document of each demo case but the one that is only planned.
        let usual = DOCUMENTS.iter().filter(|document| document.toes != Toes::NotShown).count();
        assert!(trial.made > 2 * usual * (demo::CASES.len() - 1), "{}", trial.made);
    }

    #[test]
    fn one_mistake_is_said_once_with_where_it_shows() {
        let trial = run(&changed(&[("layout.typ", "#let unit =", "#let unot =")]), 2);
        assert_eq!(trial.failures.len(), 1, "{:#?}", trial.failures);
        let said = &trial.failures[0];
        assert!(said.starts_with("layout.typ:") && said.contains("unknown variable: unit\n"), "{said}");
        let all = List::and(DOCUMENTS.iter().map(|document| document.name));
        assert!(said.ends_with(&format!("shows in {all}, every demo case")), "{said}");
        assert_eq!(trial.made, 0);
    }

    #[test]
    fn what_a_page_must_say_is_missed() {
        let press = changed(&[
            ("consent-form/main.typ", "{{ toe.toe }}", "toe"),
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
            "a draft does not say DRAFT on every page\n  shows in operation-note and gp-letter, every demo case, in drafts only",
            "the reference does not stand on every page\n  shows in aftercare-leaflet, ",
            "has changed\n  shows in gp-letter, only when issued again",
            "only in the other files\n  shows in operation-note, every demo case",
        ] {
            assert!(said.iter().any(|one| one.contains(expected)), "{expected}\n{said:#?}");
        }
        assert_eq!(said.len(), 5, "{said:#?}");
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
            let view =
                (document.view)(checked.facts.as_ref().expect("it reads"), &Form::Issued.edition(&checked));
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
        let press = changed(&[("gp-letter/main.typ", "Yours sincerely", "漢 Yours")]);
        let said = run(&press, 2).failures;
        assert_eq!(said.len(), 1, "{said:#?}");
        assert!(said[0].starts_with("gp-letter/main.typ:") && said[0].contains("`漢` (U+6F22)"), "{said:#?}");
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
