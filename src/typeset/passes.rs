//! How often Typst goes over a document: once, and again as long as something it asked for, such as the number of
//! pages, has changed.

use std::cell::Cell;

use typst::diag::SourceResult;
use typst::engine::Engine;
use typst::foundations::{Content, Output, StyleChain, Target};
use typst::introspection::Introspector;
use typst_layout::PagedDocument;

/// Pages that are counted as they are made.
pub(super) struct Counted(pub(super) PagedDocument);

thread_local! {
    static PASSES: Cell<usize> = const { Cell::new(0) };
}

/// The passes of this thread until now.
pub(super) fn so_far() -> usize {
    PASSES.get()
}

impl Output for Counted {
    fn target() -> Target {
        PagedDocument::target()
    }

    fn create(engine: &mut Engine, content: &Content, styles: StyleChain) -> SourceResult<Counted> {
        PASSES.set(PASSES.get() + 1);
        PagedDocument::create(engine, content, styles).map(Counted)
    }

    fn introspector(&self) -> &dyn Introspector {
        Output::introspector(&self.0)
    }
}
