//! Pages that are kept to be drawn when somebody looks at them, and told apart by what can be seen.

use std::hash::{Hash, Hasher};

use sha2::{Digest, Sha256};
use typst::layout::{Frame, FrameItem};
use typst_layout::Page;

/// A page that was laid out. Cheap to keep: what it shares with other pages is shared.
#[derive(Debug, Clone)]
pub struct Sheet(pub(super) Page);

impl Sheet {
    /// The page as an SVG picture: outlines of letters, no text, nothing from outside.
    pub fn svg(&self) -> String {
        typst_svg::svg(&self.0, &typst_svg::SvgOptions::default())
    }

    /// The same for pages that look the same, in lowercase hex. From which line of a source something comes,
    /// and what is only meant for the tags of a PDF, does not count.
    pub fn look(&self) -> String {
        let mut state = Seen(Sha256::new());
        self.0.fill.hash(&mut state);
        of_frame(&self.0.frame, &mut state);
        format!("{:x}", state.0.finalize())
    }
}

/// A hasher that nothing else gives the same result of.
struct Seen(Sha256);

impl Hasher for Seen {
    fn write(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    fn finish(&self) -> u64 {
        0
    }
}

fn of_frame(frame: &Frame, state: &mut Seen) {
    frame.size().hash(state);
    for (at, item) in frame.items() {
        match item {
            FrameItem::Group(group) => {
                (0u8, at, group.transform, &group.clip).hash(state);
                of_frame(&group.frame, state);
                9u8.hash(state);
            }
            FrameItem::Text(text) => {
                (1u8, at, &text.font, text.size, &text.fill, &text.stroke, &text.text).hash(state);
                for glyph in &text.glyphs {
                    (glyph.id, glyph.x_advance, glyph.x_offset, glyph.y_advance, glyph.y_offset).hash(state);
                }
            }
            FrameItem::Shape(shape, _) => (2u8, at, shape).hash(state),
            FrameItem::Image(image, size, _) => (3u8, at, image, size).hash(state),
            FrameItem::Link(..) | FrameItem::Tag(_) => {}
        }
    }
}
