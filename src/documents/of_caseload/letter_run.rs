//! The cover of a printing run: the letters that follow, each with a box to tick when it is in its envelope.

use serde::Serialize;
use serde_json::Value as Json;

use super::outstanding::ToSend;
use super::{Line, List, outstanding};
use crate::documents::page::with_list_page;
use crate::facts::Caseload;

/// The cover.
pub(crate) static LIST: List = List {
    name: "letter-run",
    title: "Letters to send",
    template: "letter-run/main.typ",
    is_across: false,
    names_cases: true,
    view: |caseload| {
        let rows = caseload.with_rows(|one| outstanding::Row::of(&one));
        let letters: Vec<Letter> =
            outstanding::sorted(&rows).to_send.into_iter().map(|one| Letter::of(one, 1, 3)).collect();
        view(&rows.with_rows(|_| None::<Letter>), &letters)
    },
};

/// One letter of the run.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Letter {
    recipient: String,
    reference: String,
    name: String,
    title: String,
    version: String,
    issued: String,
    /// An earlier version has gone: which, and when; may be empty.
    before: String,
    /// How many pages.
    pages: String,
    /// The page of the file on which it begins.
    begins: String,
}

impl Letter {
    /// A letter with its length and the page on which it begins.
    pub(crate) fn of(one: &ToSend, pages: usize, begins: usize) -> Letter {
        Letter {
            recipient: one.recipient.clone(),
            reference: one.who.reference.clone(),
            name: one.who.name.clone(),
            title: one.title.clone(),
            version: one.version.to_string(),
            issued: one.issued.clinical(),
            before: one.before.clone(),
            pages: pages.to_string(),
            begins: begins.to_string(),
        }
    }
}

#[derive(Debug, Serialize)]
struct View<'a> {
    letters: Vec<Line<&'a Letter>>,
    count: String,
}

/// The view.
pub(crate) fn view<R>(caseload: &Caseload<R>, letters: &[Letter]) -> Json {
    let own = View { letters: letters.iter().map(Line::of).collect(), count: letters.len().to_string() };
    with_list_page(caseload, &LIST, String::new(), false, &own)
}
