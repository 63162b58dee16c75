//! Accents that stand higher or lower than the face draws them, such as the second one of `Ẹ̀`.
//!
//! Typst sets each as a piece of text of its own that holds its letter once more, so whoever reads, searches
//! or copies the text of a PDF has the letter twice. Here they become drawings: the letter before them
//! already holds them as text.

use ttf_parser::{GlyphId, OutlineBuilder};
use typst::layout::{Abs, Em, Frame, FrameItem, Point};
use typst::syntax::Span;
use typst::text::TextItem;
use typst::visualize::{Curve, FillRule, Geometry, Shape};
use typst_layout::PagedDocument;
use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

/// False if a document cannot hold such an accent, which is so of nearly all.
pub(super) fn may_be_in(source: &str) -> bool {
    // In UTF-8 the first accent, U+0300, begins with a byte of CC; so do the letters behind it.
    source.bytes().any(|byte| (0xcc..0xe2).contains(&byte)) || source.chars().any(is_combining_mark)
}

/// The same pages, in which no letter stands twice.
pub(super) fn drawn(document: PagedDocument) -> PagedDocument {
    let is_there = document.pages().iter().any(|page| count(&page.frame) > 0);
    if !is_there {
        return document;
    }
    let pages = document.pages().iter().map(|page| {
        let mut page = page.clone();
        draw(&mut page.frame);
        page
    });
    PagedDocument::new(pages.collect(), typst::model::Document::info(&document).clone())
}

/// Which items of a frame are such accents.
fn accents(frame: &Frame) -> Vec<bool> {
    let items: Vec<&FrameItem> = frame.items().map(|(_, item)| item).collect();
    let text = |item: Option<&&FrameItem>| match item {
        Some(FrameItem::Text(item)) => item.text.to_string(),
        _ => String::new(),
    };
    let may_be = |item: &FrameItem| matches!(item, FrameItem::Text(item) if may_be_accent(item));
    let mut accents = Vec::with_capacity(items.len());
    // What stands before and keeps its text: of accents without a letter the first does.
    let mut before = String::new();
    for (at, item) in items.iter().enumerate() {
        let here = text(Some(item));
        let is_at_an_end = |of: &str| of.starts_with(&here) || of.ends_with(&here);
        let next = || text(items[at + 1..].iter().find(|item| !may_be(item)));
        // It stands behind its letter, or before it where letters run from right to left.
        let is_accent = may_be(item) && (is_at_an_end(&before) || is_at_an_end(&next()));
        if !is_accent {
            before = here;
        }
        accents.push(is_accent);
    }
    accents
}

/// It takes no room, and holds a letter with its accent.
fn may_be_accent(item: &TextItem) -> bool {
    item.width() == Abs::zero() && item.text.nfd().nth(1).is_some()
}

fn count(frame: &Frame) -> usize {
    let inside = frame.items().map(|(_, item)| match item {
        FrameItem::Group(group) => count(&group.frame),
        _ => 0,
    });
    inside.sum::<usize>() + accents(frame).into_iter().filter(|is_accent| *is_accent).count()
}

fn draw(frame: &mut Frame) {
    let mut accents = accents(frame).into_iter();
    frame.retain(|item| {
        let is_accent = accents.next().unwrap_or(false);
        match item {
            FrameItem::Group(group) => draw(&mut group.frame),
            FrameItem::Text(text) if is_accent => *item = FrameItem::Shape(drawing(text), Span::detached()),
            _ => {}
        }
        true
    });
}

fn drawing(item: &TextItem) -> Shape {
    let mut pen = Pen {
        curve: Curve::new(),
        at: Point::zero(),
        size: item.size,
        units: item.font.units_per_em(),
        last: Point::zero(),
    };
    for glyph in &item.glyphs {
        pen.at.x += glyph.x_offset.at(item.size);
        // A blank has no outline.
        let _ = item.font.ttf().outline_glyph(GlyphId(glyph.id), &mut pen);
    }
    Shape {
        geometry: Geometry::Curve(pen.curve),
        fill: Some(item.fill.clone()),
        fill_rule: FillRule::NonZero,
        stroke: item.stroke.clone(),
    }
}

/// Draws the outline of a glyph, whose units count upwards, as a curve, whose points count downwards.
struct Pen {
    curve: Curve,
    at: Point,
    size: Abs,
    units: f64,
    last: Point,
}

impl Pen {
    #[expect(clippy::float_arithmetic, reason = "places on the page, not clinical numbers")]
    fn point(&self, x: f32, y: f32) -> Point {
        let length = |units: f32| Em::new(f64::from(units) / self.units).at(self.size);
        Point::new(self.at.x + length(x), self.at.y - length(y))
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.last = self.point(x, y);
        self.curve.move_(self.last);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.last = self.point(x, y);
        self.curve.line(self.last);
    }

    #[expect(clippy::float_arithmetic, reason = "places on the page, not clinical numbers")]
    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (from, over, to) = (self.last, self.point(x1, y1), self.point(x, y));
        let towards = |end: Point| end + (over - end) * (2.0 / 3.0);
        self.curve.cubic(towards(from), towards(to), to);
        self.last = to;
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.last = self.point(x, y);
        self.curve.cubic(self.point(x1, y1), self.point(x2, y2), self.last);
    }

    fn close(&mut self) {
        self.curve.close();
    }
}
