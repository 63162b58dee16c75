//! What a page must say, whatever a template makes of it.

use super::document::{Document, Toes};
use super::edition::Edition;
use crate::anatomy::{Edge, Nail, Toe};
use crate::facts::{Facts, OneCase};

/// Characters of what happened by which it is found on the pages.
const ACCOUNT: usize = 40;

/// Words as a reader sees them, however the lines break: no blanks, no hyphens, small letters.
fn squeezed(text: &str) -> String {
    let is_break = |c: char| c.is_whitespace() || matches!(c, '-' | '\u{2010}' | '\u{2011}' | '\u{ad}');
    text.chars().filter(|c| !is_break(*c)).flat_map(char::to_lowercase).collect()
}

/// Pages as they were set.
#[derive(Debug, Clone, Copy)]
pub struct Said<'a> {
    /// All that is printed, page by page.
    pub pages: &'a [String],
    /// The plain text of the whole: what runs along with the pages stands in it once.
    pub text: &'a str,
    /// What is told of the first page to those who do not see it.
    pub told_first: &'a str,
    /// The words that are the template's own, not values of the case.
    pub own_words: &'a str,
    /// The values that the template had, each in a line.
    pub values: &'a str,
}

/// What is missing of what a page must say, whatever it looks like, so that it is not taken for another
/// patient's, about another toe, or for a final one.
pub fn missing_words(document: &Document, facts: &Facts, edition: &Edition, said: Said<'_>) -> Vec<String> {
    let pages: Vec<String> = said.pages.iter().map(|page| squeezed(page)).collect();
    // Words that run on to the next page have its head between them, and in the plain text they have not.
    let whole = pages.concat() + "\n" + &squeezed(said.text);
    // The words for a picture are heard and not seen.
    let is_of_picture = |line: &&str| line.starts_with('[') && line.ends_with(']');
    let seen: String = said.text.lines().filter(|line| !is_of_picture(line)).map(squeezed).collect();
    let seen = pages.concat() + "\n" + &seen;
    let told_first = squeezed(said.told_first);
    let on_every_page = |words: &str| pages.iter().all(|page| page.contains(&squeezed(words)));
    let is_told = |words: &str| told_first.contains(&squeezed(words));
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
        ["{{", "{%"].iter().all(|residue| !anywhere(residue) || said.values.contains(residue)),
        "`{{` or `{%` is printed: no value is filled in in layout.typ and parts, only in the other files",
    );
    must(on_every_page(facts.case.reference.as_str()), "the reference does not stand on every page");
    if edition.is_draft {
        must(on_every_page("DRAFT"), "a draft does not say DRAFT on every page");
    } else {
        let says = said.pages.iter().any(|page| page.contains("DRAFT"));
        must(!says || said.values.contains("DRAFT"), "an issued document says DRAFT");
    }
    if let Some(replaces) = &edition.replaces {
        // The beginnings: a long text is not printed in one piece.
        let beginning = |text: &str| text.chars().take(ACCOUNT).collect::<String>();
        let changes = replaces.changes.iter().flat_map(|change| [&change.was, &change.is]);
        let says_all = anywhere(&beginning(&replaces.because))
            && changes.into_iter().all(|text| anywhere(&beginning(text)));
        must(says_all, "an amended document does not say why it was issued again and what has changed");
    }
    let is_draft_told = !edition.is_draft || is_told("DRAFT");
    must(
        is_told(&patient.family) && is_told(facts.case.reference.as_str()) && is_draft_told,
        "who listens to the first page is not told the patient’s name, the reference or that it is a draft: \
         these stand only in its header and footer (see `page-head` and `page-foot` in layout.typ)",
    );
    let is_seen = |words: &str| seen.contains(&squeezed(words));
    let is_named = |toe: Toe| is_seen(&toe.clinical()) || is_seen(&toe.plain());
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
    let own_words = squeezed(said.own_words);
    let is_the_templates =
        |toe: Toe| [toe.clinical(), toe.plain()].iter().any(|words| own_words.contains(&squeezed(words)));
    must(
        !Toe::ALL.into_iter().any(|toe| !own.contains(&toe) && is_the_templates(toe)),
        "a toe is named that the case does not hold: a toe comes from the case, never from the template",
    );
    let edges = toes.iter().filter(|(_, nail, _)| *nail == Nail::Partial).flat_map(|(.., edges)| *edges);
    must(
        edges.into_iter().all(|edge: &Edge| is_seen(edge.word()) || is_seen(edge.plain())),
        "it is not said which edge of the nail is meant",
    );
    missing
}

/// What the pages of a list must say: everybody who stands on it, and what could not be read.
pub(crate) fn missing_words_of_list(
    rows: &[OneCase<'_>],
    left_out: &[&str],
    pages: &[String],
) -> Vec<String> {
    let whole: String = pages.iter().map(|page| squeezed(page)).collect();
    let anywhere = |words: &str| whole.contains(&squeezed(words));
    let mut missing = Vec::new();
    let mut must = |is_there: bool, says: &str| {
        if !is_there {
            missing.push(says.to_owned());
        }
    };
    let is_named = |one: &OneCase<'_>| anywhere(one.facts.case.reference.as_str());
    must(rows.iter().all(is_named), "a case that belongs on the list does not stand on it");
    must(
        left_out.iter().all(|words| anywhere(words)),
        "a file that could not be read is not named with the reason",
    );
    must(
        !anywhere("{{") && !anywhere("{%"),
        "`{{` or `{%` is printed: no value is filled in in layout.typ and parts, only in the other files",
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
        // Of an operation that was given up: the toes that were prepared, else those that were planned.
        Toes::Operated if facts.is_given_up() => {
            facts.given_up_toes().into_iter().map(|toe| (toe, Nail::Total, [].as_slice())).collect()
        }
        Toes::Operated => {
            facts.operated().into_iter().map(|(toe, done)| (toe, done.nail, done.edges())).collect()
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
    let operated = facts.treated().into_iter().map(|(toe, _)| toe);
    let consented = facts.consented().into_iter().map(|(toe, _)| toe);
    problem.chain(not_done).copied().chain(planned).chain(operated).chain(consented).collect()
}
