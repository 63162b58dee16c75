//! The pages of many cases: each is set once, with one press, over as many threads as the machine has, and
//! read by every test that holds pages against each other.

use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

use unguis::documents::{DOCUMENTS, Document, Edition, ready_papers};
use unguis::facts::Facts;
use unguis::pipeline::Press;
use unguis::typeset::Typesetter;

use crate::support::first_edition;

/// One case, and the words of each of its documents that can be made.
pub(super) struct Pages {
    pub(super) name: String,
    pub(super) facts: Facts,
    texts: Vec<(&'static str, String)>,
}

impl Pages {
    /// The words of a document; `None` if it cannot be made.
    pub(super) fn text(&self, document: &str) -> Option<&str> {
        let found = self.texts.iter().find(|(name, _)| *name == document);
        found.map(|(_, text)| text.as_str())
    }

    /// Each document that can be made, with its words.
    pub(super) fn texts(&self) -> impl Iterator<Item = (&'static str, &str)> {
        self.texts.iter().map(|(name, text)| (*name, text.as_str()))
    }
}

fn press() -> &'static Press {
    static PRESS: OnceLock<Press> = OnceLock::new();
    PRESS.get_or_init(Press::built_in)
}

/// The words of a document in one line, with plain blanks and apostrophes.
fn text_of(document: &'static Document, facts: &Facts) -> Option<String> {
    let paper = ready_papers(facts).find(|paper| paper.document == document)?;
    // Handed over on the day, so that times of that day are said.
    let view = paper.view(facts, &Edition { made_on: facts.day(), ..first_edition() });
    let layout = press()
        .lay_out(document, &view)
        .unwrap_or_else(|problem| panic!("{}: {}", document.name, unguis::cli::error::chain(&problem)));
    let text = layout.text().replace('\u{a0}', " ").replace('\u{2019}', "'");
    Some(text.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// Sets every document of every case. They keep their order.
pub(super) fn set_all(cases: Vec<(String, Facts)>) -> Vec<Pages> {
    let threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let next = AtomicUsize::new(0);
    let work = || {
        let mut done = Vec::new();
        while let Some((name, facts)) = cases.get(next.fetch_add(1, Ordering::Relaxed)) {
            let texts = DOCUMENTS
                .iter()
                .filter_map(|document| Some((document.name, text_of(document, facts)?)))
                .collect::<Vec<_>>();
            done.push((name.clone(), facts.clone(), texts));
            Typesetter::evict();
        }
        done
    };
    let mut done: Vec<_> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads).map(|_| scope.spawn(work)).collect();
        workers.into_iter().flat_map(|worker| worker.join().expect("a case was set")).collect()
    });
    let place = |name: &str| cases.iter().position(|(other, _)| other == name);
    done.sort_by_key(|(name, ..)| place(name));
    done.into_iter().map(|(name, facts, texts)| Pages { name, facts, texts }).collect()
}
