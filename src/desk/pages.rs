//! The pages of a case as they will print, as pictures, each known by the hash of what is seen on it: so a
//! browser asks only for those that changed, and only those that are looked at are drawn.

use std::collections::{BTreeMap, VecDeque};
use std::ops::RangeInclusive;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use serde_json::{Value as Json, json};

use crate::date::CivilDate;
use crate::documents::{Edition, Paper};
use crate::facts::Facts;
use crate::hash::sha256;
use crate::pipeline::{Checked, Press, Version};
use crate::store::io;
use crate::typeset::{Sheet, Typesetter, each};

/// Dots a picture may have in width: a page across the largest screens, and no more than memory bears.
const WIDTHS: RangeInclusive<u16> = 100..=4000;
/// Pages that are kept; a case has about ten, and a browser asks at once.
const MOST_KEPT: usize = 240;
/// Pictures that are drawn before they are asked for: the pages in sight of a few windows.
const MOST_AHEAD: usize = 12;
/// Cases whose pages are kept: a few windows, a day's cases at most.
const MOST_CASES: usize = 40;

/// The pages that were made last.
#[derive(Default)]
pub(super) struct Pages {
    kept: Mutex<Kept>,
    /// The pages of each case as they were made last.
    made: Mutex<BTreeMap<String, Arc<OfCase>>>,
    ahead: Mutex<Ahead>,
}

/// Pictures of changed pages, drawn while the rest of the answer is written: who looked at the page before will
/// ask for them, in as many dots as last.
#[derive(Default)]
struct Ahead {
    /// The dots in width that were asked for last.
    width: Option<u16>,
    drawn: BTreeMap<(String, u16), Arc<OnceLock<Vec<u8>>>>,
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
    pages: BTreeMap<String, Page>,
    order: VecDeque<String>,
}

struct Page {
    sheet: Sheet,
    /// Somebody looked at it.
    is_seen: bool,
}

impl Pages {
    /// A picture and its kind by its name: `<hash>.svg`, or `<hash>-<width>.png`, which is so many dots wide.
    pub(super) fn picture(&self, name: &str) -> Option<(&'static str, Vec<u8>)> {
        let (name, kind) = name.rsplit_once('.')?;
        if kind == "png" {
            let (hash, width) = name.split_once('-')?;
            let width = width.parse().ok().filter(|width| WIDTHS.contains(width))?;
            let sheet = self.looked_at(hash)?;
            let mut ahead = self.ahead.lock().unwrap_or_else(PoisonError::into_inner);
            ahead.width = Some(width);
            let begun = ahead.drawn.remove(&(hash.to_owned(), width)).unwrap_or_default();
            drop(ahead);
            // Where it is being drawn it is waited for.
            return Some(("image/png", begun.get_or_init(|| sheet.png(width)).clone()));
        }
        let sheet = self.looked_at(name).filter(|_| kind == "svg")?;
        Some(("image/svg+xml", sheet.svg().into_bytes()))
    }

    fn looked_at(&self, hash: &str) -> Option<Sheet> {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let page = kept.pages.get_mut(hash)?;
        page.is_seen = true;
        Some(page.sheet.clone())
    }

    /// Begins to draw each page that stands in the place of one that was looked at.
    fn draw_ahead(&self, before: &[Json], now: &[Json]) {
        let hash = |page: &Json| page["hash"].as_str().unwrap_or_default().to_owned();
        for (old, new) in before.iter().map(hash).zip(now.iter().map(hash)).filter(|(old, new)| old != new) {
            let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
            if !kept.pages.get(&old).is_some_and(|page| page.is_seen) {
                continue;
            }
            let Some(sheet) = kept.pages.get(&new).map(|page| page.sheet.clone()) else { continue };
            drop(kept);
            let mut ahead = self.ahead.lock().unwrap_or_else(PoisonError::into_inner);
            let Some(width) = ahead.width else { return };
            // Nobody asked for these, or a window has gone.
            if ahead.drawn.len() >= MOST_AHEAD {
                ahead.drawn.clear();
            }
            let begun = Arc::clone(ahead.drawn.entry((new, width)).or_default());
            drop(ahead);
            let work = move || {
                begun.get_or_init(|| sheet.png(width));
            };
            // Failing that, it is drawn when it is asked for.
            drop(std::thread::Builder::new().spawn(work));
        }
    }

    fn keep(&self, sheet: Sheet) -> String {
        let hash = sheet.look();
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if !kept.pages.contains_key(&hash) {
            kept.pages.insert(hash.clone(), Page { sheet, is_seen: false });
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
        // Each in its own turn would be waited for; a paper that says what it said looks as it looked.
        let papers = each(&checked.ready(&[]), io::processors(), |paper| {
            let view = paper.view(facts, &edition);
            let from = sha256(view.to_string().as_bytes());
            let known = before.papers.get(&paper.name());
            match known.filter(|(old, pages)| *old == from && self.are_kept(pages)) {
                Some((_, pages)) => (paper.name(), from, pages.clone(), false),
                None => {
                    let pages = self.set(press, *paper, &view, facts, &edition);
                    self.draw_ahead(known.map_or(&[], |(_, pages)| pages), &pages);
                    (paper.name(), from, pages, true)
                }
            }
        });
        if papers.iter().any(|(.., is_new)| *is_new) {
            Typesetter::evict_old_answers();
        }
        let mut now = OfCase { stamp: stamp.to_owned(), ..OfCase::default() };
        for (name, from, pages, _) in papers {
            now.pages.extend(pages.iter().cloned());
            now.papers.insert(name, (from, pages));
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;
    use crate::pipeline::check;

    fn hash(page: &Json) -> String {
        page["hash"].as_str().expect("a page that was set").to_owned()
    }

    /// A page in the place of one that somebody looked at, and no other.
    #[test]
    fn what_will_be_asked_for_is_drawn_ahead() {
        let (pages, press) = (Pages::default(), Press::built_in());
        let (name, text) =
            *demo::CASES.iter().find(|(name, _)| *name == "routine-adult.yaml").expect("a demo case");
        let of = |text: &str| {
            let checked = check(demo::source(name, text), &demo::clinic(), demo::today());
            pages.of(&press, &checked, demo::today(), text)
        };
        let ahead = || pages.ahead.lock().expect("nothing broke").drawn.keys().cloned().collect::<Vec<_>>();
        let first = of(text);
        let changed = |text: &str| text.replace("Imogen", "Imogene");
        assert!(pages.picture(&format!("{}-300.png", hash(&first[0]))).is_some());
        assert_eq!(ahead(), [], "it was asked for first");
        let second = of(&changed(text));
        assert_ne!(hash(&first[0]), hash(&second[0]), "the name stands on the page");
        assert_eq!(ahead(), [(hash(&second[0]), 300)], "the other pages are in nobody's sight");
        let (_, drawn) = pages.picture(&format!("{}-300.png", hash(&second[0]))).expect("it is kept");
        assert_eq!(ahead(), [], "it is handed over and not kept");
        assert_eq!(drawn, pages.looked_at(&hash(&second[0])).expect("it is kept").png(300));
    }
}
