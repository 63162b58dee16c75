//! The fonts, from memory, and what they can show. No system font is ever used: the same input
//! gives the same pages everywhere.

use std::sync::OnceLock;

use typst::foundations::Bytes;
use typst::text::Font;
use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;
use unicode_segmentation::UnicodeSegmentation as _;

/// The faces, read once and shared. Noto Sans for text; DejaVu Sans for what it lacks.
#[derive(Debug, Clone)]
pub struct Fonts(Vec<Font>);

impl Fonts {
    /// Reads the faces.
    pub fn new() -> Fonts {
        Fonts(faces().to_vec())
    }

    /// The faces, in the order in which they are looked through.
    pub fn faces(&self) -> &[Font] {
        &self.0
    }
}

impl Default for Fonts {
    fn default() -> Self {
        Fonts::new()
    }
}

fn faces() -> &'static [Font] {
    static FACES: OnceLock<Vec<Font>> = OnceLock::new();
    FACES.get_or_init(|| {
        let faces = [
            notosans::REGULAR_TTF,
            notosans::BOLD_TTF,
            notosans::ITALIC_TTF,
            dejavu::sans::regular(),
            dejavu::sans::bold(),
        ];
        faces.into_iter().flat_map(|face| Font::iter(Bytes::new(face))).collect()
    })
}

/// The characters of a text, with their accents, that cannot be printed; each once, in order.
///
/// Judged by what the faces hold, without setting a page: a character with its accents must stand,
/// in composed or in single form, in every face of one family, since a name is printed in regular
/// and in bold letters and in capitals. Characters of private use are refused even where a face
/// draws them: PDF/A cannot say what they mean. Text in Latin-1 is never looked up.
pub fn unprintable(text: &str) -> Vec<&str> {
    let mut lacking = Vec::new();
    if is_latin_1(text) {
        return lacking;
    }
    for cluster in text.graphemes(true) {
        if !is_latin_1(cluster) && !is_printable(cluster) && !lacking.contains(&cluster) {
            lacking.push(cluster);
        }
    }
    lacking
}

/// True if no character lies beyond U+00FF: in UTF-8 those begin with a byte of C4 or more.
fn is_latin_1(text: &str) -> bool {
    text.bytes().all(|byte| byte < 0xc4)
}

fn is_printable(cluster: &str) -> bool {
    let capitals = cluster.to_uppercase();
    has_glyphs(cluster) && (capitals == cluster || has_glyphs(&capitals))
}

fn has_glyphs(cluster: &str) -> bool {
    let forms: [String; 3] = [cluster.to_owned(), cluster.nfc().collect(), cluster.nfd().collect()];
    // Typst does not look for accents without a letter in a second family.
    let has_letter = !cluster.trim_start().starts_with(is_combining_mark);
    let families = faces().chunk_by(|one, next| one.info().family == next.info().family);
    families.take(if has_letter { usize::MAX } else { 1 }).any(|family| {
        let has = |c: char| {
            c.is_whitespace()
                || chooses_a_form(c)
                || !is_private(c) && family.iter().all(|face| face.info().coverage.contains(u32::from(c)))
        };
        forms.iter().any(|form| form.chars().all(has))
    })
}

/// A variation selector: it has no glyph of its own and is left out where the face has one form.
fn chooses_a_form(c: char) -> bool {
    matches!(c, '\u{fe00}'..='\u{fe0f}')
}

fn is_private(c: char) -> bool {
    matches!(c, '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..='\u{10ffff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_faces_lack_is_named_once() {
        assert_eq!(unprintable("O’Neil – 漢字漢 ☐"), ["漢", "字"]);
        assert_eq!(unprintable("Zoë Müller-Łęcki, 2 ½ ≤ 3 → € “x”"), [""; 0]);
        assert_eq!(unprintable("Ελένη Жанна ☐ 😀"), [""; 0]);
    }

    #[test]
    fn accents_are_judged_with_their_letter() {
        assert_eq!(unprintable("e\u{301} s\u{323}\u{307} o\u{308}\u{304}"), [""; 0]);
        assert_eq!(unprintable("Vie\u{323}\u{302}t, ệ"), [""; 0]);
        assert_eq!(unprintable("\u{301} x"), [""; 0]);
        assert_eq!(unprintable("x \u{7f3}\u{301}"), [" \u{7f3}\u{301}"]);
        // A musical sign beside a letter: the cluster as a whole is named.
        assert_eq!(unprintable("ab\u{1d165}"), ["b\u{1d165}"]);
    }

    #[test]
    fn letters_whose_meaning_a_pdf_cannot_say_are_refused() {
        assert_eq!(unprintable("a\u{e000}b\u{f400}"), ["\u{e000}", "\u{f400}"]);
    }

    #[test]
    fn blanks_and_forms_need_no_glyph() {
        assert_eq!(unprintable("a\u{3000}b\u{2003}c ❤\u{fe0f}"), [""; 0]);
    }
}
