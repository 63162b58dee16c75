//! The pages of a case as they will print, as pictures, each known by the hash of what is seen on it: so a
//! browser asks only for those that changed, and only those that are looked at are drawn.

use std::collections::{BTreeMap, VecDeque};
use std::sync::{Arc, Mutex, PoisonError};

use serde_json::{Value as Json, json};

use crate::date::CivilDate;
use crate::documents::{Edition, Paper};
use crate::facts::Facts;
use crate::hash::sha256;
use crate::pipeline::{Checked, Press, Version};
use crate::typeset::{Sheet, Typesetter};

/// Pages that are kept; a case has about ten, and a browser asks at once.
const MOST_KEPT: usize = 240;
/// Cases whose pages are kept: a few windows, a day's cases at most.
const MOST_CASES: usize = 40;

/// The pages that were made last.
#[derive(Default)]
pub(super) struct Pages {
    kept: Mutex<Kept>,
    /// The pages of each case as they were made last.
    made: Mutex<BTreeMap<String, Arc<OfCase>>>,
}

/// What a case's pages were made from, and each paper with what it was set from.
#[derive(Default)]
struct OfCase {
    stamp: String,
    pages: Vec<Json>,
    papers: BTreeMap<String, (String, Vec<Json>)>,
}

/// Pages by their hashes, and the order in which they came.
#[derive(Default)]
struct Kept {
    pages: BTreeMap<String, Drawn>,
    order: VecDeque<String>,
}

/// A page, and its picture once somebody has looked at it.
struct Drawn {
    sheet: Sheet,
    svg: Option<Arc<String>>,
}

impl Pages {
    /// A picture by its hash.
    pub(super) fn picture(&self, hash: &str) -> Option<Arc<String>> {
        let sheet = {
            let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
            let drawn = kept.pages.get(hash)?;
            if let Some(svg) = &drawn.svg {
                return Some(svg.clone());
            }
            drawn.sheet.clone()
        };
        let svg = Arc::new(sheet.svg());
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(drawn) = kept.pages.get_mut(hash) {
            drawn.svg = Some(svg.clone());
        }
        Some(svg)
    }

    fn keep(&self, sheet: Sheet) -> String {
        let hash = sheet.look();
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if !kept.pages.contains_key(&hash) {
            kept.pages.insert(hash.clone(), Drawn { sheet, svg: None });
            kept.order.push_back(hash.clone());
        }
        while kept.order.len() > MOST_KEPT {
            if let Some(oldest) = kept.order.pop_front() {
                kept.pages.remove(&oldest);
            }
        }
        hash
    }

    fn are_kept(&self, pages: &[Json]) -> bool {
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let mut hashes = pages.iter().filter_map(|page| page["hash"].as_str());
        hashes.all(|hash| hash.is_empty() || kept.pages.contains_key(hash))
    }

    /// The pages of every document that can be made, as drafts, or why one cannot be set. `stamp` tells
    /// what they are made from.
    pub(super) fn of(&self, press: &Press, checked: &Checked, today: CivilDate, stamp: &str) -> Vec<Json> {
        let reference = checked.reference.clone().unwrap_or_default();
        let before = self.made.lock().unwrap_or_else(PoisonError::into_inner).get(&reference).cloned();
        let before = before.unwrap_or_default();
        if before.stamp == stamp && self.are_kept(&before.pages) {
            return before.pages.clone();
        }
        let Some(facts) = &checked.facts else { return Vec::new() };
        let edition = checked.edition(Version::Draft, today);
        let mut now = OfCase { stamp: stamp.to_owned(), ..OfCase::default() };
        let mut is_set = false;
        for paper in checked.ready(&[]) {
            let view = paper.view(facts, &edition);
            // A paper that says what it said looks as it looked.
            let from = sha256(view.to_string().as_bytes());
            let known =
                before.papers.get(&paper.name()).filter(|(old, pages)| *old == from && self.are_kept(pages));
            let pages = match known {
                Some((_, pages)) => pages.clone(),
                None => {
                    is_set = true;
                    self.set(press, paper, &view, facts, &edition)
                }
            };
            now.pages.extend(pages.iter().cloned());
            now.papers.insert(paper.name(), (from, pages));
        }
        if is_set {
            Typesetter::evict_old_answers();
        }
        let pages = now.pages.clone();
        let mut made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        if made.len() > MOST_CASES {
            made.clear();
        }
        made.insert(reference, Arc::new(now));
        pages
    }

    fn set(&self, press: &Press, paper: Paper, view: &Json, facts: &Facts, edition: &Edition) -> Vec<Json> {
        let (name, title) = (paper.name(), paper.document.title);
        match press.pages(paper, view, facts, edition) {
            Ok(mut layout) => {
                let words = layout.printed();
                let sheets = layout.sheets();
                let of = sheets.len();
                let page = |(at, (sheet, text)): (usize, (Sheet, String))| {
                    json!({
                        "paper": name, "title": title, "hash": self.keep(sheet), "number": at + 1, "of": of,
                        "text": text, "trouble": "",
                    })
                };
                sheets.into_iter().zip(words).enumerate().map(page).collect()
            }
            Err(problem) => vec![json!({
                "paper": name, "title": title, "hash": "", "number": 0, "of": 0, "text": "",
                "trouble": problem.lines().join("; "),
            })],
        }
    }
}
