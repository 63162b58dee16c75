//! The fonts, from memory, and what they can show. No system font is ever used: the same input
//! gives the same pages everywhere.
//!
//! Two families are for every page. Those for the scripts of other large languages of Britain are read
//! when a text is written in one.

use std::ops::RangeInclusive;
use std::sync::OnceLock;

use typst::foundations::Bytes;
use typst::text::{Coverage, Font, FontBook, FontInfo};
use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;
use unicode_segmentation::UnicodeSegmentation as _;

/// The faces for text in Latin, Greek and Cyrillic letters and for signs, read once and shared: Noto Sans,
/// and DejaVu Sans for what it lacks.
pub fn faces() -> &'static [Font] {
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

/// Faces for letters that the others lack, each read when the first document asks for it.
struct Script {
    /// As the looks of the pages name it.
    family: &'static str,
    /// The letters for which it is asked.
    letters: RangeInclusive<char>,
    /// Regular and bold; or one for both, where a second would be megabytes for the few characters of a name.
    faces: &'static [Face],
}

/// A file in the program, and the face in it once it was read.
struct Face(&'static [u8], OnceLock<Option<Font>>);

impl Face {
    fn read(&self) -> Option<&Font> {
        self.1.get_or_init(|| Font::new(Bytes::new(self.0), 0)).as_ref()
    }
}

macro_rules! script {
    ($family:literal, $letters:expr, $($file:literal),+) => {{
        static FACES: [Face; [$($file),+].len()] =
            [$(Face(include_bytes!(concat!("../../templates/fonts/", $file)), OnceLock::new())),+];
        Script { family: $family, letters: $letters, faces: &FACES }
    }};
}

/// In the order of [`Scripts`].
static SCRIPTS: [Script; 7] = [
    // With the letters of Urdu, Pashto and Sindhi, and of Panjabi as it is written in Pakistan.
    script!(
        "Noto Sans Arabic",
        '\u{600}'..='\u{8ff}',
        "NotoSansArabic-Regular.ttf",
        "NotoSansArabic-Bold.ttf"
    ),
    script!(
        "Noto Sans Devanagari",
        '\u{900}'..='\u{97f}',
        "NotoSansDevanagari-Regular.ttf",
        "NotoSansDevanagari-Bold.ttf"
    ),
    script!(
        "Noto Sans Bengali",
        '\u{980}'..='\u{9ff}',
        "NotoSansBengali-Regular.ttf",
        "NotoSansBengali-Bold.ttf"
    ),
    script!(
        "Noto Sans Gurmukhi",
        '\u{a00}'..='\u{a7f}',
        "NotoSansGurmukhi-Regular.ttf",
        "NotoSansGurmukhi-Bold.ttf"
    ),
    script!(
        "Noto Sans Gujarati",
        '\u{a80}'..='\u{aff}',
        "NotoSansGujarati-Regular.ttf",
        "NotoSansGujarati-Bold.ttf"
    ),
    script!("Noto Sans Tamil", '\u{b80}'..='\u{bff}', "NotoSansTamil-Regular.ttf", "NotoSansTamil-Bold.ttf"),
    // What GB 2312, Big5 and the Hong Kong set hold, in the forms of the mainland.
    script!("Noto Sans CJK SC", '\u{3400}'..='\u{9fff}', "NotoSansCJKsc-Regular.otf"),
];

/// The scripts with faces of their own in which a text is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Scripts(u8);

impl Scripts {
    /// Those of a text.
    pub(super) fn of(text: &str) -> Scripts {
        // In UTF-8 their letters, U+0600 to U+0BFF and U+3400 to U+9FFF, begin with one of these bytes.
        if !text.bytes().any(|byte| matches!(byte, 0xd8..=0xe0 | 0xe3..=0xe9)) {
            return Scripts::default();
        }
        let is_in = |script: &Script| text.chars().any(|c| script.letters.contains(&c));
        let bit = |(at, script): (usize, &Script)| u8::from(is_in(script)) << at;
        Scripts(SCRIPTS.iter().enumerate().map(bit).sum())
    }

    /// These and those.
    pub(super) fn and(self, more: Scripts) -> Scripts {
        Scripts(self.0 | more.0)
    }

    fn has(self, at: usize) -> bool {
        self.0 >> at & 1 == 1
    }
}

/// What Typst knows of the faces: of those for other scripts only that they are there, since reading them
/// takes time and few documents need one.
pub(super) fn book() -> FontBook {
    let mut infos: Vec<FontInfo> = faces().iter().map(|face| face.info().clone()).collect();
    let like = [infos[0].clone(), infos[1].clone()];
    let of_script = |script: &Script| {
        like.clone().into_iter().take(script.faces.len()).map(|like| FontInfo {
            family: script.family.to_owned(),
            coverage: Coverage::from_vec(Vec::new()),
            ..like
        })
    };
    infos.extend(SCRIPTS.iter().flat_map(of_script));
    FontBook::from_infos(infos)
}

/// The face with this number in the book; `None` for a script in which the text is not written.
pub(super) fn face(index: usize, scripts: Scripts) -> Option<Font> {
    let faces = faces();
    match index.checked_sub(faces.len()) {
        None => faces.get(index).cloned(),
        Some(at) => {
            let mut all = SCRIPTS
                .iter()
                .enumerate()
                .flat_map(|(script, one)| one.faces.iter().map(move |face| (script, face)));
            let (script, face) = all.nth(at)?;
            if scripts.has(script) { face.read().cloned() } else { None }
        }
    }
}

/// The characters of a text, with their accents, that cannot be printed; each once, in order.
///
/// Judged by what the faces hold, without setting a page: a character with its accents must stand,
/// in composed or in single form, in every face of one family, since a name is printed in regular
/// and in bold letters and in capitals; or in the faces for its script. Characters of private use are
/// refused even where a face draws them: PDF/A cannot say what they mean. Text in Latin-1 is never looked up.
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
    let mut families: Vec<Vec<&Font>> =
        faces().chunk_by(|one, next| one.info().family == next.info().family).map(Vec::from_iter).collect();
    families.truncate(if has_letter { usize::MAX } else { 1 });
    let script = SCRIPTS.iter().find(|script| cluster.chars().any(|c| script.letters.contains(&c)));
    let script =
        script.and_then(|script| script.faces.iter().map(Face::read).collect::<Option<Vec<&Font>>>());
    // In the order in which the pages look through them.
    script.into_iter().for_each(|script| families.insert(1, script));
    for family in families {
        let holds = |c: char| !is_private(c) && family.iter().all(|face| holds(face, c));
        let holds_form =
            |form: &String| form.chars().all(|c| c.is_whitespace() || has_no_glyph(c) || holds(c));
        if forms.iter().any(holds_form) {
            return true;
        }
        if has_letter && stops_at(cluster, &family) {
            return false;
        }
    }
    false
}

/// True if Typst looks no further, though the family lacks a part of this character: where it holds an accent
/// and not the letter below, the page would have the accent alone, and where letters run from right to left,
/// the letter twice.
fn stops_at(cluster: &str, family: &[&Font]) -> bool {
    let holds = |c: char| family.iter().any(|face| holds(face, c));
    let mut accents = cluster.trim_start().chars();
    let Some(letter) = accents.next() else { return false };
    if holds(letter) || letter.nfd().all(holds) {
        return runs_from_right_to_left(letter);
    }
    accents.any(|c| is_combining_mark(c) && holds(c))
}

fn holds(face: &Font, c: char) -> bool {
    face.info().coverage.contains(u32::from(c))
}

fn runs_from_right_to_left(c: char) -> bool {
    matches!(c, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefe}' | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
}

/// A variation selector or a joiner: it chooses the form of a letter and has no glyph of its own.
fn has_no_glyph(c: char) -> bool {
    matches!(c, '\u{fe00}'..='\u{fe0f}' | '\u{200c}' | '\u{200d}')
}

fn is_private(c: char) -> bool {
    matches!(c, '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..='\u{10ffff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_faces_lack_is_named_once() {
        assert_eq!(unprintable("O’Neil – ሰላምሰ ☐"), ["ሰ", "ላ", "ም"]);
        assert_eq!(unprintable("Zoë Müller-Łęcki, 2 ½ ≤ 3 → € “x”"), [""; 0]);
        assert_eq!(unprintable("Ελένη Жанна ☐ 😀"), [""; 0]);
    }

    /// The letters of a name, and no others.
    #[test]
    fn a_face_is_read_where_a_text_is_written_in_its_script() {
        let read = |text: &str| {
            let scripts = Scripts::of(text);
            (0..faces().len() + 20)
                .skip(faces().len())
                .filter_map(|at| face(at, scripts))
                .map(|face| face.info().family.clone())
                .collect::<Vec<_>>()
        };
        assert_eq!(read("O’Neil – Zoë 2 ½"), [""; 0]);
        assert_eq!(read("陳美玲"), ["Noto Sans CJK SC"]);
        assert_eq!(read("தமிழ் 陳"), ["Noto Sans Tamil", "Noto Sans Tamil", "Noto Sans CJK SC"]);
        assert_eq!(Scripts::of("தமிழ்").and(Scripts::of("陳")), Scripts::of("陳 தமிழ்"));
    }

    #[test]
    fn accents_are_judged_with_their_letter() {
        assert_eq!(unprintable("e\u{301} s\u{323}\u{307} o\u{308}\u{304}"), [""; 0]);
        assert_eq!(unprintable("Vie\u{323}\u{302}t, ệ"), [""; 0]);
        assert_eq!(unprintable("\u{301} x"), [""; 0]);
        assert_eq!(unprintable("x \u{7f3}\u{301}"), [" \u{7f3}\u{301}"]);
        // No family holds both, and Typst would lose the letter or set it twice.
        assert_eq!(unprintable("\u{639}\u{20d7} \u{5d0}\u{301}"), ["\u{639}\u{20d7}", "\u{5d0}\u{301}"]);
        assert_eq!(unprintable("\u{639}\u{64e}\u{651} \u{5d0}\u{5b7} \u{915}\u{93c}"), [""; 0]);
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
