//! The mark of a draft. It is laid over pages that are set, so no template can cover or leave it out.

use std::sync::{Mutex, PoisonError};

use typst::layout::{Frame, Point, Size};
use typst_layout::PagedDocument;

use super::desk::{Desks, MAIN};
use crate::render::TypstSource;

/// How a draft is marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DraftMark {
    /// DRAFT across the page, as light as not to be in the way. The templates say it in their head too.
    Across,
    /// The same, and in black at the edge of the page: for templates that may say anything in their head.
    AcrossAndAtTheEdge,
}

/// It is as light on white as the lightest grey that is still printed, and takes nothing from what lies below.
const ACROSS: &str = "place(center + horizon, rotate(-52deg, text(120pt, weight: \"bold\", \
    fill: black.transparentize(95%), tracking: 0.1em)[DRAFT]))";
const AT_THE_EDGE: &str = "place(right + horizon, dx: -3mm, rotate(90deg, reflow: true, box(fill: white, \
    stroke: 0.8pt + black, inset: (x: 1.5mm, y: 1mm), text(9pt, weight: \"bold\", fill: black)[DRAFT – not for use])))";

/// The same pages with the mark on each.
pub(super) fn marked(document: &PagedDocument, mark: DraftMark) -> PagedDocument {
    let pages = document.pages().iter().map(|page| {
        let mut page = page.clone();
        page.frame.push_frame(Point::zero(), of_size(page.frame.size(), mark));
        page
    });
    PagedDocument::new(pages.collect(), typst::model::Document::info(document).clone())
}

/// The mark of a page of this size, set once for all pages of it.
fn of_size(size: Size, mark: DraftMark) -> Frame {
    static SET: Mutex<Vec<(Size, DraftMark, Frame)>> = Mutex::new(Vec::new());
    let mut set = SET.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some((.., frame)) = set.iter().find(|(of, kind, _)| (*of, *kind) == (size, mark)) {
        return frame.clone();
    }
    let frame = laid_out(size, mark);
    // Templates of a clinic's own may have pages of any size.
    if set.len() < MOST_SIZES {
        set.push((size, mark, frame.clone()));
    }
    frame
}

/// Sizes of pages whose marks are kept.
const MOST_SIZES: usize = 16;

/// A page with nothing on it but the mark. What a page has as its background is no part of what is told to those
/// who do not see it.
fn laid_out(size: Size, mark: DraftMark) -> Frame {
    let at_the_edge = if mark == DraftMark::AcrossAndAtTheEdge { AT_THE_EDGE } else { "" };
    let main = format!(
        "#set text(font: {:?}, fallback: false)\n#let mark = {{\n{ACROSS}\n{at_the_edge}\n}}\n\
         #page(width: {}pt, height: {}pt, margin: 0pt, background: mark)[]\n",
        "Noto Sans",
        size.x.to_pt(),
        size.y.to_pt()
    );
    let desk = Desks::default().take(&TypstSource { main, files: Vec::new() });
    let marks = typst::compile::<PagedDocument>(&desk).output;
    let marks = marks.unwrap_or_else(|problems| panic!("{MAIN} of the mark of a draft: {problems:?}"));
    marks.pages().first().map(|page| page.frame.clone()).unwrap_or_default()
}
