//! The mark of a draft. It is laid over pages that are set, so no template can cover or leave it out.

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
    let marks = marks_of(document, mark);
    let pages = document.pages().iter().zip(marks.pages()).map(|(page, mark)| {
        let mut page = page.clone();
        page.frame.push_frame(typst::layout::Point::zero(), mark.frame.clone());
        page
    });
    PagedDocument::new(pages.collect(), typst::model::Document::info(document).clone())
}

/// As many pages, of the same sizes, with nothing on them but the mark. What a page has as its background is
/// no part of what is told to those who do not see it.
fn marks_of(document: &PagedDocument, mark: DraftMark) -> PagedDocument {
    let mut main = format!("#set text(font: {:?}, fallback: false)\n#let mark = {{\n{ACROSS}\n", "Noto Sans");
    if mark == DraftMark::AcrossAndAtTheEdge {
        main.push_str(AT_THE_EDGE);
    }
    main.push_str("\n}\n");
    for page in document.pages() {
        let size = page.frame.size();
        main.push_str(&format!(
            "#page(width: {}pt, height: {}pt, margin: 0pt, background: mark)[]\n",
            size.x.to_pt(),
            size.y.to_pt()
        ));
    }
    let desk = Desks::default().take(&TypstSource { main, files: Vec::new() });
    let marks = typst::compile::<PagedDocument>(&desk).output;
    marks.unwrap_or_else(|problems| panic!("{MAIN} of the mark of a draft: {problems:?}"))
}
