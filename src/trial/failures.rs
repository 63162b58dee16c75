//! Mistakes of templates, each once, worded with where it shows.

use super::{Form, Tried, distinct};
use crate::pipeline::Press;
use crate::words::List;

/// Mistakes, each once, with the documents in which they show.
#[derive(Default)]
pub(super) struct Failures(Vec<Failure>);

struct Failure {
    place: Option<String>,
    says: String,
    shows: Vec<(&'static str, &'static str, Form)>,
}

impl Failures {
    /// A mistake at a place that is known already is the same mistake.
    pub(super) fn add(&mut self, place: Option<String>, says: String, tried: &Tried) {
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

    pub(super) fn worded(self, press: &Press, tried: &[Tried]) -> Vec<String> {
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

/// `gp-letter/main.typ:12` of `gp-letter/main.typ:12:5: …`.
pub(super) fn place_of(line: &str) -> Option<String> {
    let (file, rest) = line.split_once(':')?;
    let number: String = rest.chars().take_while(char::is_ascii_digit).collect();
    (!number.is_empty()).then(|| format!("{file}:{number}"))
}

pub(super) fn case_name(file: &str) -> &str {
    file.trim_end_matches(".yaml")
}

/// `every demo case`, `routine-adult`, `routine-adult, young-person-17 and 5 other cases`.
pub(super) fn in_cases(cases: &[&str], all: usize) -> String {
    match cases {
        _ if cases.len() == all => "every demo case".to_owned(),
        [first, second, rest @ ..] if rest.len() > 1 => {
            format!("{first}, {second} and {} other cases", rest.len())
        }
        few => List::and(few).to_string(),
    }
}
