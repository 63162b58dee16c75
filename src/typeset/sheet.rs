//! Pages that are kept to be drawn when somebody looks at them, and told apart by what can be seen.

use std::borrow::Cow;
use std::collections::HashMap;
use std::hash::{Hash, Hasher};

use png::{BitDepth, ColorType, Compression, Encoder};
use sha2::{Digest, Sha256};
use typst::layout::{Frame, FrameItem};
use typst_layout::Page;

/// A page that was laid out. Cheap to keep: what it shares with other pages is shared.
#[derive(Debug, Clone)]
pub struct Sheet(pub(super) Page);

impl Sheet {
    /// The page as an SVG picture: outlines of letters, no text, nothing from outside.
    pub fn svg(&self) -> String {
        joined(&typst_svg::svg(&self.0, &typst_svg::SvgOptions::default()))
    }

    /// The page as a PNG picture of so many dots in width; empty only where memory ends.
    #[expect(clippy::float_arithmetic, reason = "a resolution, not a clinical number")]
    pub fn png(&self, width: u16) -> Vec<u8> {
        let pixel_per_pt = (f64::from(width) / self.0.frame.width().to_pt()).into();
        let options = typst_render::RenderOptions { pixel_per_pt, ..Default::default() };
        let drawn = typst_render::render(&self.0, &options);
        encoded(drawn.width(), drawn.height(), drawn.data()).unwrap_or_default()
    }

    /// The same for pages that look the same, in lowercase hex. From which line of a source something comes,
    /// and what is only meant for the tags of a PDF, does not count.
    pub fn look(&self) -> String {
        let mut state = Seen(Vec::new());
        self.0.fill.hash(&mut state);
        of_frame(&self.0.frame, &mut state);
        format!("{:x}", Sha256::digest(&state.0))
    }
}

/// A picture in the form that is soonest written and soonest read: what has no colour in one byte a dot.
/// A page has a ground, so nothing of it is seen through.
fn encoded(width: u32, height: u32, dots: &[u8]) -> Result<Vec<u8>, png::EncodingError> {
    let (dots, _) = dots.as_chunks::<4>();
    let is_grey = dots.iter().all(|[red, green, blue, _]| red == green && green == blue);
    let (color, bytes): (ColorType, Vec<u8>) = match is_grey {
        true => (ColorType::Grayscale, dots.iter().map(|[red, ..]| *red).collect()),
        false => {
            (ColorType::Rgb, dots.iter().flat_map(|[red, green, blue, _]| [*red, *green, *blue]).collect())
        }
    };
    let mut out = Vec::new();
    let mut encoder = Encoder::new(&mut out, width, height);
    encoder.set_color(color);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(Compression::Fast);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&bytes)?;
    writer.finish()?;
    Ok(out)
}

/// All that is to be hashed, one behind the other: at once that takes half the time.
struct Seen(Vec<u8>);

impl Hasher for Seen {
    fn write(&mut self, bytes: &[u8]) {
        self.0.extend_from_slice(bytes);
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

/// Places of letters are kept to so many decimals of a point: a tenth of what a printer can show.
const DECIMALS: usize = 3;

/// The picture with the letters of a run as one outline, in place of one reference for each: a browser draws
/// that in less than half the time.
fn joined(svg: &str) -> String {
    let letters = letters(svg);
    let mut out = String::with_capacity(svg.len());
    let mut rest = svg;
    // The run that is being joined: what its letters have in common, and their outlines.
    let mut run: Option<(&str, String)> = None;
    while let Some(at) = rest.find('<') {
        let (before, from) = rest.split_at(at);
        let end = from.find('>').map_or(from.len(), |end| end + 1);
        let (tag, behind) = from.split_at(end);
        if !before.is_empty() {
            close(&mut run, &mut out);
            out.push_str(before);
        }
        let letter = letter(tag).and_then(|letter| {
            let outline = letters.get(letter.id)?;
            Some((letter, outline))
        });
        if let Some((letter, outline)) = letter {
            if run.as_ref().is_some_and(|(common, _)| *common != letter.common) {
                close(&mut run, &mut out);
            }
            let (_, outlines) = run.get_or_insert_with(|| (letter.common, String::new()));
            outlines.push('M');
            outlines.push_str(&rounded(letter.x));
            outlines.push(' ');
            outlines.push_str(&rounded(letter.y));
            outlines.push_str(outline);
            rest = behind;
            continue;
        }
        close(&mut run, &mut out);
        // The outline itself is no longer asked for by anybody.
        if symbol(from).is_some() {
            let length = from.find(SYMBOL_END).map_or(from.len(), |end| end + SYMBOL_END.len());
            rest = &from[length..];
            continue;
        }
        out.push_str(tag);
        rest = behind;
    }
    close(&mut run, &mut out);
    out.push_str(rest);
    out
}

fn close(run: &mut Option<(&str, String)>, out: &mut String) {
    if let Some((common, outlines)) = run.take() {
        out.push_str(&format!("<path {common} d=\"{outlines}\"/>"));
    }
}

const SYMBOL_END: &str = "\"/></symbol>";

/// A symbol that is one outline: its id and that outline behind its first move.
fn symbol(text: &str) -> Option<(&str, &str)> {
    let (id, rest) =
        text.strip_prefix("<symbol id=\"")?.split_once("\" overflow=\"visible\"><path d=\"M 0 0")?;
    let (outline, _) = rest.split_once(SYMBOL_END)?;
    let is_one = !id.contains(['"', '<']) && !outline.contains(['"', '<']);
    is_one.then_some((id, outline))
}

/// The outlines of letters by their ids, shortened.
fn letters(svg: &str) -> HashMap<&str, String> {
    let symbols = svg.match_indices("<symbol id=\"").filter_map(|(at, _)| symbol(&svg[at..]));
    symbols.map(|(id, outline)| (id, shortened(outline))).collect()
}

/// One letter: `<use xlink:href="#g1" x="0" y="0" fill="#000000" fill-rule="nonzero"/>`.
struct Letter<'a> {
    id: &'a str,
    x: &'a str,
    y: &'a str,
    common: &'a str,
}

fn letter(tag: &str) -> Option<Letter<'_>> {
    let (id, rest) = tag.strip_prefix("<use xlink:href=\"#")?.split_once("\" x=\"")?;
    let (x, rest) = rest.split_once("\" y=\"")?;
    let (y, common) = rest.split_once("\" ")?;
    Some(Letter { id, x, y, common: common.strip_suffix("/>")? })
}

fn rounded(number: &str) -> Cow<'_, str> {
    let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    match number.parse::<f64>() {
        Ok(value) if decimals > DECIMALS || number.contains('e') => {
            let text = format!("{value:.DECIMALS$}");
            Cow::Owned(text.trim_end_matches('0').trim_end_matches('.').to_owned())
        }
        _ => Cow::Borrowed(number),
    }
}

/// An outline with its numbers rounded.
fn shortened(outline: &str) -> String {
    let is_of_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | 'e');
    let mut out = String::with_capacity(outline.len() / 2);
    let mut rest = outline;
    while !rest.is_empty() {
        let other = rest.find(is_of_number).unwrap_or(rest.len());
        out.push_str(&rest[..other]);
        rest = &rest[other..];
        let end = rest.find(|c| !is_of_number(c)).unwrap_or(rest.len());
        out.push_str(&rounded(&rest[..end]));
        rest = &rest[end..];
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_letters_of_a_run_are_one_outline_in_their_places() {
        let letter = |id: &str, x: &str, fill: &str| {
            format!("<use xlink:href=\"#{id}\" x=\"{x}\" y=\"0\" fill=\"{fill}\" fill-rule=\"nonzero\"/>")
        };
        let letters = [
            letter("ga", "0", "#000000"),
            letter("gb", "5.123456789", "#000000"),
            letter("ga", "9", "#ff0000"),
            letter("gx", "12", "#ff0000"),
        ];
        let symbols = "<symbol id=\"ga\" overflow=\"visible\"><path d=\"M 0 0m 1.00049 2q 0.5 0.25 1 -1.0000001Z \"/></symbol>\
                       <symbol id=\"gb\" overflow=\"visible\"><path d=\"M 0 0h 3Z \"/></symbol>";
        let odd = "<symbol id=\"gx\" overflow=\"visible\"><image/></symbol>";
        let svg =
            format!("<svg><g transform=\"a\">{}</g><defs>{symbols}{odd}</defs></svg>", letters.concat());
        assert_eq!(
            joined(&svg),
            format!(
                "<svg><g transform=\"a\"><path fill=\"#000000\" fill-rule=\"nonzero\" d=\"M0 0m 1 2q 0.5 0.25 1 -1Z \
                 M5.123 0h 3Z \"/><path fill=\"#ff0000\" fill-rule=\"nonzero\" d=\"M9 0m 1 2q 0.5 0.25 1 -1Z \"/>{}</g>\
                 <defs>{odd}</defs></svg>",
                letters[3]
            )
        );
        assert_eq!(joined("<svg>a < b</svg"), "<svg>a < b</svg");
    }
}
