//! The pages of a case as they will print, as pictures, each known by the hash of what is on it: so a
//! browser asks only for those that changed.

use std::collections::{BTreeMap, VecDeque};
use std::sync::{Arc, Mutex, PoisonError};

use serde_json::{Value as Json, json};

use crate::date::CivilDate;
use crate::hash::sha256;
use crate::pipeline::{Checked, Press, Version};
use crate::typeset::Typesetter;

/// Pictures that are kept; a case has about ten, and a browser asks at once.
const MOST_KEPT: usize = 240;

/// The pictures that were made last.
#[derive(Default)]
pub(super) struct Pages {
    kept: Mutex<Kept>,
    /// The pages of each case as they were made last, with what they were made from.
    made: Mutex<BTreeMap<String, (String, Vec<Json>)>>,
}

/// Pictures by their hashes, and the order in which they came.
#[derive(Default)]
struct Kept {
    pictures: BTreeMap<String, Arc<String>>,
    order: VecDeque<String>,
}

impl Pages {
    /// A picture by its hash.
    pub(super) fn picture(&self, hash: &str) -> Option<Arc<String>> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner).pictures.get(hash).cloned()
    }

    fn keep(&self, svg: String) -> String {
        let hash = sha256(svg.as_bytes());
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.pictures.insert(hash.clone(), Arc::new(svg)).is_none() {
            kept.order.push_back(hash.clone());
        }
        while kept.order.len() > MOST_KEPT {
            if let Some(oldest) = kept.order.pop_front() {
                kept.pictures.remove(&oldest);
            }
        }
        hash
    }

    /// The pages of every document that can be made, as drafts, or why one cannot be set. `stamp` tells
    /// what they are made from.
    pub(super) fn of(&self, press: &Press, checked: &Checked, today: CivilDate, stamp: &str) -> Vec<Json> {
        let reference = checked.reference.clone().unwrap_or_default();
        let is_kept = |pages: &[Json]| {
            pages.iter().all(|page| {
                page["hash"].as_str().is_none_or(|hash| hash.is_empty() || self.picture(hash).is_some())
            })
        };
        if let Some((made_from, pages)) =
            self.made.lock().unwrap_or_else(PoisonError::into_inner).get(&reference)
            && made_from == stamp
            && is_kept(pages)
        {
            return pages.clone();
        }
        let Some(facts) = &checked.facts else { return Vec::new() };
        let edition = checked.edition(Version::Draft, today);
        let mut pages = Vec::new();
        for paper in checked.ready(&[]) {
            let title = paper.document.title;
            match press.pages(paper, &paper.view(facts, &edition), facts, &edition) {
                Ok(mut layout) => {
                    let words = layout.printed();
                    let svgs = layout.svgs();
                    let of = svgs.len();
                    for (at, (svg, text)) in svgs.into_iter().zip(words).enumerate() {
                        let hash = self.keep(svg);
                        pages.push(json!({
                            "paper": paper.name(), "title": title, "hash": hash, "number": at + 1, "of": of,
                            "text": text, "trouble": "",
                        }));
                    }
                }
                Err(problem) => pages.push(json!({
                    "paper": paper.name(), "title": title, "hash": "", "number": 0, "of": 0, "text": "",
                    "trouble": problem.lines().join("; "),
                })),
            }
        }
        Typesetter::evict();
        let mut made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        // A few windows; a day's cases at most.
        if made.len() > 40 {
            made.clear();
        }
        made.insert(reference, (stamp.to_owned(), pages.clone()));
        pages
    }
}
