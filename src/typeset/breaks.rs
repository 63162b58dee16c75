//! Places where a long word may end a line. Once the lines are set they are taken out of the text again, so
//! that whoever searches, copies or listens has the word as it was written.

use typst::layout::{Frame, FrameItem};
use typst::text::TextItem;
use typst_layout::PagedDocument;

use crate::render::BREAK;

/// The same pages without these places.
pub(super) fn taken_out(document: &PagedDocument) -> PagedDocument {
    let pages = document.pages().iter().map(|page| {
        let mut page = page.clone();
        take_out(&mut page.frame);
        page
    });
    PagedDocument::new(pages.collect(), typst::model::Document::info(document).clone())
}

fn take_out(frame: &mut Frame) {
    frame.retain(|item| {
        match item {
            FrameItem::Group(group) => take_out(&mut group.frame),
            FrameItem::Text(item) if item.text.contains(BREAK) => shorten(item),
            _ => {}
        }
        true
    });
}

fn shorten(item: &mut TextItem) {
    let text = item.text.clone();
    // Breaks have no width: those that have a glyph of their own lose it.
    item.glyphs.retain(|glyph| text[glyph.range()].chars().any(|c| c != BREAK));
    for glyph in &mut item.glyphs {
        let without = |at: u16| {
            let before = text[..usize::from(at)].matches(BREAK).count() * BREAK.len_utf8();
            at - u16::try_from(before).unwrap_or(at)
        };
        glyph.range = without(glyph.range.start)..without(glyph.range.end);
    }
    item.text = text.chars().filter(|c| *c != BREAK).collect();
}
