//! What stands on the laid-out pages: plain text, places, the words for pictures, and characters
//! that no font has. It reads pages and changes nothing.

use typst::foundations::{Content, Smart, StyleChain};
use typst::introspection::{Location, Tag};
use typst::layout::{Abs, Frame, FrameItem, Point, Rect, Transform};
use typst::model::{Destination, FigureElem, TableCell};
use typst::pdf::{ArtifactElem, ArtifactKind};
use typst::text::TextItem;
use typst::visualize::ImageElem;
use typst_layout::PagedDocument;

/// What a page is made of, in the order in which it was written.
enum Piece<'a> {
    /// A piece of text and where its baseline begins, in points from the top left.
    Text { x: f64, y: f64, item: &'a TextItem },
    /// A cell of a table begins: its column and row.
    Cell { column: usize, row: usize, at: Location },
    /// Something with a place of its own ends.
    End(Location),
    /// A small picture among the text, such as a tick box, in words.
    Picture(String),
    /// A figure with words for it begins.
    Figure { words: String, at: Location },
    /// What comes again on every page begins: header, footer, watermark, page number. On the first page head
    /// and foot are told to those who do not see it.
    Running { kind: ArtifactKind, at: Location, is_told: bool },
}

fn collect<'a>(frame: &'a Frame, origin: Point, pieces: &mut Vec<Piece<'a>>) {
    for (at, item) in frame.items() {
        let at = Point::new(origin.x + at.x, origin.y + at.y);
        match item {
            FrameItem::Group(group) => {
                let moved = Point::new(at.x + group.transform.tx, at.y + group.transform.ty);
                collect(&group.frame, moved, pieces);
            }
            FrameItem::Text(item) => pieces.push(Piece::Text { x: at.x.to_pt(), y: at.y.to_pt(), item }),
            FrameItem::Tag(Tag::Start(element, _)) => {
                pieces.extend(cell(element));
                pieces.extend(image_words(element).map(Piece::Picture));
                pieces.extend(figure(element));
                pieces.extend(running(element));
            }
            FrameItem::Tag(Tag::End(at, ..)) => pieces.push(Piece::End(*at)),
            _ => {}
        }
    }
}

fn cell(element: &Content) -> Option<Piece<'_>> {
    let cell = element.to_packed::<TableCell>()?;
    let at = element.location()?;
    match (cell.x.get(StyleChain::default()), cell.y.get(StyleChain::default())) {
        (Smart::Custom(column), Smart::Custom(row)) => Some(Piece::Cell { column, row, at }),
        _ => None,
    }
}

/// The words of a picture that stands by itself; figures have their text beside them.
fn image_words(element: &Content) -> Option<String> {
    let image = element.to_packed::<ImageElem>()?;
    image.alt.get_cloned(StyleChain::default()).map(|alt| alt.to_string())
}

/// A figure and its words, where it has both.
fn figure(element: &Content) -> Option<Piece<'_>> {
    let figure = element.to_packed::<FigureElem>()?;
    let words = figure.alt.get_cloned(StyleChain::default())?.to_string();
    Some(Piece::Figure { words, at: element.location()? })
}

/// The labels that the looks of the pages give to head and foot of the first page.
const HEAD: &str = "page-head";
const FOOT: &str = "page-foot";

fn running(element: &Content) -> Option<Piece<'_>> {
    let at = element.location()?;
    if let Some(artifact) = element.to_packed::<ArtifactElem>() {
        let kind = artifact.kind.get(StyleChain::default());
        return Some(Piece::Running { kind, at, is_told: false });
    }
    let kind = match element.label()?.resolve().as_str() {
        HEAD => ArtifactKind::Header,
        FOOT => ArtifactKind::Footer,
        _ => return None,
    };
    Some(Piece::Running { kind, at, is_told: true })
}

/// The plain text, in the order in which it was written: a new line where the line changes, a row of
/// a table in one line with a tab between its cells, pictures in words, a form feed between pages.
/// The letters inside a figure mean nothing without it: its words stand in their place. What runs
/// along with the pages stands once: the header of the first, the footer of the last. No-break
/// spaces become blanks, so that the text can be searched.
pub(super) fn text(document: &PagedDocument) -> String {
    let last = document.pages().len().saturating_sub(1);
    let pages = document.pages().iter().enumerate().map(|(page, shown)| {
        page_text(&foot_last(pieces(&shown.frame)), |kind, _| match kind {
            ArtifactKind::Header => page == 0,
            ArtifactKind::Footer => page == last,
            _ => false,
        })
    });
    // A page begins on a line of its own, also where a form feed is not seen.
    pages.collect::<Vec<_>>().join("\n\u{c}")
}

/// The text of the first page without what runs along with the pages and is not told.
pub(super) fn told_first(document: &PagedDocument) -> String {
    let first = document.pages().first();
    first.map_or_else(String::new, |page| page_text(&pieces(&page.frame), |_, is_told| is_told))
}

/// The foot of the first page is told behind its head and stands below the text.
fn foot_last(mut pieces: Vec<Piece<'_>>) -> Vec<Piece<'_>> {
    let is_foot =
        |piece: &Piece<'_>| matches!(piece, Piece::Running { kind: ArtifactKind::Footer, is_told: true, .. });
    let Some(begins) = pieces.iter().position(is_foot) else { return pieces };
    let Piece::Running { at, .. } = pieces[begins] else { return pieces };
    let ends = pieces[begins..].iter().position(|piece| matches!(piece, Piece::End(end) if *end == at));
    let foot: Vec<Piece<'_>> = pieces.drain(begins..=begins + ends.unwrap_or(0)).collect();
    pieces.extend(foot);
    pieces
}

fn pieces(frame: &Frame) -> Vec<Piece<'_>> {
    let mut pieces = Vec::new();
    collect(frame, Point::zero(), &mut pieces);
    pieces
}

/// Half a point: closer pieces stand on the same line.
const SAME_LINE: f64 = 0.5;
/// In units of the letter size: a wider gap is a blank.
const GAP: f64 = 0.15;
/// In units of the letter size: a wider gap parts a label from its value.
const WIDE_GAP: f64 = 1.0;

#[expect(clippy::float_arithmetic, reason = "places on the page, not clinical numbers")]
fn page_text(pieces: &[Piece<'_>], is_wanted: impl Fn(ArtifactKind, bool) -> bool) -> String {
    let mut out = String::new();
    // Where the last piece of text ended, if the next one may stand on its line.
    let mut before: Option<(f64, f64)> = None;
    let mut open: Option<Location> = None;
    let mut row_before: Option<usize> = None;
    let mut is_after_picture = false;
    // The figure whose letters are left out, and its words until its first letter is met.
    let mut drawn: Option<(Location, Option<&str>)> = None;
    let mut left_out: Option<Location> = None;
    // The length of the text after the line that was begun behind what runs along with the pages.
    let mut line_for_more: Option<usize> = None;
    for piece in pieces {
        if let Some(until) = left_out {
            if matches!(piece, Piece::End(at) if *at == until) {
                left_out = None;
            }
            continue;
        }
        match piece {
            Piece::Running { kind, at, is_told } => {
                left_out = (!is_wanted(*kind, *is_told)).then_some(*at);
                // Others, such as a drawing in a cell, stand among the text.
                if matches!(kind, ArtifactKind::Header | ArtifactKind::Footer) {
                    (before, open, row_before) = (None, None, None);
                    let is_new = !out.ends_with('\n');
                    new_line(&mut out);
                    line_for_more = is_new.then_some(out.len()).or(line_for_more);
                }
            }
            Piece::Cell { column, row, at } => {
                let goes_on = row_before == Some(*row) && *column > 0;
                if goes_on {
                    out.push('\t');
                } else {
                    new_line(&mut out);
                }
                (before, open, row_before) = (None, Some(*at), Some(*row));
            }
            Piece::Figure { words, at } => drawn = Some((*at, Some(words))),
            Piece::Text { .. } if drawn.is_some() => {
                if let Some(words) = drawn.as_mut().and_then(|(_, words)| words.take()) {
                    new_line(&mut out);
                    out.push_str(&format!("[{words}]\n"));
                    before = None;
                }
            }
            Piece::End(at) => {
                if drawn.as_ref().is_some_and(|(figure, _)| figure == at) {
                    drawn = None;
                }
                if open == Some(*at) {
                    (before, open) = (None, None);
                }
            }
            Piece::Picture(words) => {
                if open.is_none() {
                    new_line(&mut out);
                }
                out.push_str(&format!("[{words}]"));
                is_after_picture = true;
                before = None;
            }
            Piece::Text { x, y, item } => {
                if open.is_none() && row_before.take().is_some() {
                    new_line(&mut out);
                    before = None;
                }
                if let Some((end, line)) = before {
                    let size = item.size.to_pt();
                    let changes_line = (y - line).abs() > SAME_LINE;
                    if changes_line && open.is_none() {
                        new_line(&mut out);
                    } else if (changes_line || x - end > GAP * size) && !out.ends_with(' ') {
                        out.push_str(if !changes_line && x - end > WIDE_GAP * size { "  " } else { " " });
                    }
                }
                if std::mem::take(&mut is_after_picture) && !item.text.starts_with(' ') {
                    out.push(' ');
                }
                out.push_str(&item.text);
                before = Some((x + item.width().to_pt(), *y));
            }
        }
    }
    out.truncate(out.trim_end_matches(' ').len());
    // Nothing came after the foot.
    if line_for_more == Some(out.len()) {
        out.pop();
    }
    out.replace('\u{a0}', " ")
}

fn new_line(out: &mut String) {
    out.truncate(out.trim_end_matches(' ').len());
    if !out.is_empty() && !out.ends_with('\n') {
        out.push('\n');
    }
}

/// What stands at a [`Mark`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MarkKind {
    /// Text.
    Text(String),
    /// A line or an area.
    Shape,
    /// A picture of its own.
    Picture,
    /// A field that cuts off what it holds.
    Field,
}

/// Something on a page and the smallest upright box around it, in millimetres from the top left.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the edges of a box speak for themselves")]
pub struct Mark {
    pub kind: MarkKind,
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

/// The words that are printed on each page, all that runs along with them.
pub(super) fn printed(document: &PagedDocument) -> Vec<String> {
    let words = |page: Vec<Mark>| {
        let words = page.into_iter().filter_map(|mark| match mark.kind {
            MarkKind::Text(text) => Some(text),
            MarkKind::Shape | MarkKind::Picture | MarkKind::Field => None,
        });
        words.collect::<Vec<_>>().join(" ")
    };
    marks(document).into_iter().map(words).collect()
}

/// The first target of a link that is neither an address to write to nor a telephone number, without what it
/// would send along.
pub(super) fn forbidden_link(document: &PagedDocument) -> Option<String> {
    document.pages().iter().find_map(|page| forbidden_link_in(&page.frame))
}

fn forbidden_link_in(frame: &Frame) -> Option<String> {
    frame.items().find_map(|(_, item)| match item {
        FrameItem::Group(group) => forbidden_link_in(&group.frame),
        FrameItem::Link(Destination::Url(target), _) => {
            let target = target.as_str();
            let is_allowed = ["mailto:", "tel:"].iter().any(|start| target.starts_with(start));
            (!is_allowed).then(|| target.split(['?', '#']).next().unwrap_or("").chars().take(60).collect())
        }
        _ => None,
    })
}

/// Everything that is printed, page by page.
pub(super) fn marks(document: &PagedDocument) -> Vec<Vec<Mark>> {
    let pages = document.pages().iter().map(|page| {
        let mut marks = Vec::new();
        let whole = Rect::new(Point::zero(), page.frame.size().to_point());
        collect_marks(&page.frame, Transform::identity(), whole, &mut marks);
        marks
    });
    pages.collect()
}

fn collect_marks(frame: &Frame, moved: Transform, seen: Rect, marks: &mut Vec<Mark>) {
    for (at, item) in frame.items() {
        let here = moved.pre_concat(Transform::translate(at.x, at.y));
        let mut mark = |kind, area: Rect| marks.extend(mark(kind, placed(area, here), seen));
        let of_size = |size: typst::layout::Size| Rect::new(Point::zero(), size.to_point());
        match item {
            FrameItem::Group(group) => {
                let inside = here.pre_concat(group.transform);
                let mut seen = seen;
                if group.clip.is_some() {
                    let field = of_size(group.frame.size());
                    mark(MarkKind::Field, field);
                    seen = common(placed(field, inside), seen);
                }
                collect_marks(&group.frame, inside, seen, marks);
            }
            FrameItem::Text(item) if item.text.trim().is_empty() => {}
            FrameItem::Text(item) => mark(MarkKind::Text(item.text.to_string()), item.bbox()),
            FrameItem::Shape(shape, _) => mark(MarkKind::Shape, shape.bbox(true)),
            FrameItem::Image(_, size, _) => mark(MarkKind::Picture, of_size(*size)),
            FrameItem::Link(..) | FrameItem::Tag(_) => {}
        }
    }
}

/// The upright box around an area that was moved or turned.
fn placed(area: Rect, by: Transform) -> Rect {
    let corners =
        [area.min, Point::new(area.max.x, area.min.y), Point::new(area.min.x, area.max.y), area.max]
            .map(|corner| corner.transform(by));
    let [first, others @ ..] = corners;
    // The box of a text has its edges in the order of the font, which counts upwards.
    others
        .into_iter()
        .fold(Rect::new(first, first), |all, corner| Rect::new(all.min.min(corner), all.max.max(corner)))
}

fn common(one: Rect, other: Rect) -> Rect {
    Rect::new(one.min.max(other.min), one.max.min(other.max))
}

/// `None` if nothing of it is seen.
fn mark(kind: MarkKind, area: Rect, seen: Rect) -> Option<Mark> {
    let shown = common(area, seen);
    if shown.min.x > shown.max.x || shown.min.y > shown.max.y {
        return None;
    }
    let mm = |length: Abs| length.to_mm();
    Some(Mark {
        kind,
        left: mm(shown.min.x),
        top: mm(shown.min.y),
        right: mm(shown.max.x),
        bottom: mm(shown.max.y),
    })
}

/// The words for each picture, in the order of the pages; empty where a picture has none.
pub(super) fn picture_words(document: &PagedDocument) -> Vec<String> {
    let mut words = Vec::new();
    for page in document.pages() {
        collect_words(&page.frame, &mut words);
    }
    words
}

fn collect_words(frame: &Frame, words: &mut Vec<String>) {
    for (_, item) in frame.items() {
        match item {
            FrameItem::Group(group) => collect_words(&group.frame, words),
            FrameItem::Tag(Tag::Start(element, _)) => {
                let none = StyleChain::default();
                let figure = element.to_packed::<FigureElem>().map(|figure| figure.alt.get_cloned(none));
                let image = element.to_packed::<ImageElem>().map(|image| image.alt.get_cloned(none));
                words.extend(figure.or(image).map(|alt| alt.unwrap_or_default().to_string()));
            }
            _ => {}
        }
    }
}

/// Characters that no font has, each with the text around it.
pub(super) fn missing_glyphs(document: &PagedDocument) -> Vec<(String, String)> {
    let mut missing: Vec<(String, String)> = Vec::new();
    for page in document.pages() {
        let mut pieces = Vec::new();
        collect(&page.frame, Point::zero(), &mut pieces);
        pieces.retain(|piece| matches!(piece, Piece::Text { .. }));
        for (index, piece) in pieces.iter().enumerate() {
            let Piece::Text { item, .. } = piece else { continue };
            for glyph in item.glyphs.iter().filter(|glyph| glyph.id == 0) {
                let character = item.text[glyph.range()].to_owned();
                if !missing.iter().any(|(known, _)| *known == character) {
                    let around = &pieces[index.saturating_sub(1)..(index + 2).min(pieces.len())];
                    missing.push((character, page_text(around, |_, _| true).replace('\n', " ")));
                }
            }
        }
    }
    missing
}
