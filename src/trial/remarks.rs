//! What changed templates give beside what the built-in ones give.

use std::collections::BTreeMap;

use super::failures::{case_name, in_cases};
use super::{Form, all_templates, check_demo};
use crate::demo;
use crate::documents::ready_papers;
use crate::pipeline::Press;
use crate::render::Known;
use crate::typeset::Typesetter;
use crate::words::{Count, List};

/// What changed templates give beside what the built-in ones give.
pub(super) fn remarks(press: &Press) -> Vec<String> {
    let built_in = Press::built_in();
    let mut remarks = Vec::new();
    let mut known: BTreeMap<&'static str, Known> = BTreeMap::new();
    // Document, pages with these templates, pages with the built-in ones: the cases.
    let mut longer: BTreeMap<(&'static str, usize, usize), Vec<&'static str>> = BTreeMap::new();
    let mut cases: BTreeMap<&'static str, usize> = BTreeMap::new();
    for (name, text) in demo::CASES {
        let checked = check_demo(name, text);
        let Some(facts) = &checked.facts else { continue };
        for paper in ready_papers(facts) {
            let document = paper.document;
            let view = paper.view(facts, &Form::Issued.edition(&checked));
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
    for document in all_templates() {
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
        let named = |press: &Press| press.templates.named(document.file, known).values;
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
