//! Typst: how it looks. Source text in, PDF, pictures and plain text out; fonts from memory, fixed
//! date, no file system, no network. Knows nothing of cases, rules or Tera.

mod bind;
mod breaks;
mod desk;
mod draft;
mod fonts;
mod frames;
mod passes;
mod raised;
mod sheet;
pub mod syntax;
mod threads;

pub(crate) use threads::{calculate_alone, each, each_in_two};

use std::fmt;
use std::sync::atomic::{AtomicUsize, Ordering};

use typst::World as _;
use typst::WorldExt as _;
use typst::diag::{SourceDiagnostic, Warned};
use typst::foundations::{Datetime, Smart};
use typst_as_lib::TypstEngine;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

pub use bind::{Bound, bind, pages_of};
pub use desk::MAIN;
use desk::{Desk, Desks};
pub use draft::DraftMark;
pub use fonts::{faces, unprintable};
pub use frames::{Mark, MarkKind};
use passes::Counted;
pub use sheet::Sheet;

use crate::date::CivilDate;
use crate::render::{BREAK, TypstSource};

/// What the PDF says of itself.
#[derive(Debug, Clone)]
pub struct PdfMeta {
    /// Title, shown by readers in place of the file name.
    pub title: String,
    /// Author.
    pub author: String,
    /// Keywords.
    pub keywords: Vec<String>,
    /// The date of creation; the time is midnight.
    pub date: CivilDate,
    /// Tells this document from all others; its hash becomes the identifier of the PDF.
    pub ident: String,
}

/// Why a document could not be set.
#[derive(Debug, thiserror::Error)]
pub enum TypesetError {
    /// Typst found mistakes in the source, or had warnings.
    #[error("{}", lines(.0))]
    Source(Vec<SourceProblem>),
    /// The fonts lack characters.
    #[error("{}", lines(.0))]
    MissingGlyphs(Vec<MissingGlyph>),
    /// A page links to something that is neither an address to write to nor a telephone number.
    #[error(
        "a page links to `{0}`: only `mailto:` and `tel:` can be linked, since a page must not send what it \
             says anywhere"
    )]
    Link(String),
    /// Anything else of the machinery.
    #[error("{0}")]
    Other(String),
}

fn lines<T: fmt::Display>(items: &[T]) -> String {
    items.iter().map(T::to_string).collect::<Vec<_>>().join("\n")
}

/// A mistake in the source: lines and columns count from 1; 0 where that is not known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceProblem {
    /// The virtual file: `main.typ`, `layout.typ`.
    pub file: String,
    /// Line.
    pub line: usize,
    /// Column.
    pub column: usize,
    /// What is wrong, with Typst's hints.
    pub message: String,
}

impl SourceProblem {
    /// True if a paragraph holds more of what a `show` rule looks for than Typst can take.
    pub(crate) fn is_of_too_many_shows(&self) -> bool {
        self.message.contains("grouping depth")
    }
}

impl fmt::Display for SourceProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let SourceProblem { file, line, column, message } = self;
        match (line, column) {
            (0, _) => write!(f, "{file}: {message}"),
            (_, 0) => write!(f, "{file}:{line}: {message}"),
            _ => write!(f, "{file}:{line}:{column}: {message}"),
        }
    }
}

/// A character that cannot be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MissingGlyph {
    /// The character or cluster.
    pub character: String,
    /// The text around it.
    pub around: String,
}

impl fmt::Display for MissingGlyph {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let code = self.character.chars().next().map_or(0, u32::from);
        write!(f, "no font has the character {} (U+{code:04X}), in: {}", self.character, self.around.trim())
    }
}

/// A document that was set.
#[derive(Debug)]
pub struct Typeset {
    /// The PDF: PDF/A-2a and PDF/UA-1, tagged.
    pub pdf: Vec<u8>,
    /// How many pages.
    pub pages: usize,
    /// The plain text, in the order in which it was written: a row of a table in a line with a tab
    /// between its cells, a form feed between pages, header and footer once.
    pub text: String,
    document: PagedDocument,
}

impl Typeset {
    /// A page as a PNG picture; pages count from 0. `None` if there is no such page.
    pub fn png(&self, page: usize, dpi: u16) -> Option<Vec<u8>> {
        picture(&self.document, page, dpi)
    }

    /// As [`Layout::printed`].
    pub fn printed(&self) -> Vec<String> {
        frames::printed(&self.document)
    }

    /// Everything that is printed with its place, page by page.
    pub fn marks(&self) -> Vec<Vec<Mark>> {
        frames::marks(&self.document)
    }

    /// The words for each picture, in the order of the pages; empty where a picture has none.
    pub fn picture_words(&self) -> Vec<String> {
        frames::picture_words(&self.document)
    }
}

/// Sets documents. Cheap to share between threads.
#[derive(Debug, Clone, Default)]
pub struct Typesetter {
    desks: Desks,
}

/// Rounds of eviction after which an unused result of the shared cache is dropped: enough that the
/// documents of a case share what they have in common, and memory stays flat over many cases.
const CACHE_AGE: usize = 1;
/// Cases to a round: while one thread empties the cache, the others must wait.
const CASES_A_ROUND: usize = 2;

impl Typesetter {
    /// With nothing parsed yet.
    pub fn new() -> Typesetter {
        Typesetter::default()
    }

    /// Sets one document.
    ///
    /// # Errors
    /// Mistakes and warnings of the source with their places; characters that no font has.
    pub fn typeset(&self, source: &TypstSource, meta: &PdfMeta) -> Result<Typeset, TypesetError> {
        self.lay_out(source)?.export(meta)
    }

    /// The first half of setting: the pages, not yet a PDF.
    ///
    /// # Errors
    /// As [`Typesetter::typeset`].
    pub fn lay_out(&self, source: &TypstSource) -> Result<Layout, TypesetError> {
        let desk = self.desks.take(source);
        let before = passes::so_far();
        let Warned { output, warnings } = typst::compile::<Counted>(&desk);
        let passes = passes::so_far() - before;
        let mut document = output.map_err(|problems| TypesetError::Source(place_all(&desk, &problems)))?.0;
        if !warnings.is_empty() {
            return Err(TypesetError::Source(place_all(&desk, &warnings)));
        }
        let missing = frames::missing_glyphs(&document);
        if !missing.is_empty() {
            let glyphs = missing.into_iter().map(|(character, around)| MissingGlyph { character, around });
            return Err(TypesetError::MissingGlyphs(glyphs.collect()));
        }
        if let Some(target) = frames::forbidden_link(&document) {
            return Err(TypesetError::Link(target));
        }
        if source.main.contains(BREAK) {
            document = breaks::taken_out(&document);
        }
        if raised::may_be_in(&source.main) {
            document = raised::drawn(document);
        }
        Ok(Layout { desk, document, passes, draft: None })
    }

    /// Empties the shared cache of what was not used lately. Called between cases, from one place;
    /// without it memory grows by several MiB a case.
    pub fn evict() {
        static CASES: AtomicUsize = AtomicUsize::new(0);
        if CASES.fetch_add(1, Ordering::Relaxed).is_multiple_of(CASES_A_ROUND) {
            typst::comemo::evict(CACHE_AGE);
        }
    }

    /// As [`Typesetter::evict`], where one case is set again and again as it is filled in.
    pub fn evict_old_answers() {
        typst::comemo::evict(ANSWERS_KEPT);
    }
}

/// Answers at the desk during which what one of them was set with is kept for the next: a few, so that going back
/// to an earlier answer finds it, and memory stays flat over thousands.
const ANSWERS_KEPT: usize = 4;

/// The stack of a thread that lays out pages: deep layouts need more than the two mebibytes that a
/// thread has by default.
pub const STACK: usize = 16 * 1024 * 1024;

/// Pages that were laid out.
#[derive(Debug)]
pub struct Layout {
    desk: Desk,
    document: PagedDocument,
    passes: usize,
    draft: Option<DraftMark>,
}

impl Layout {
    /// These pages as those of a draft: wherever they are shown or written, they bear the mark, which lies
    /// over all that the templates draw. [`Layout::printed`] is still what the templates print.
    pub fn as_draft(mut self, mark: DraftMark) -> Layout {
        self.draft = Some(mark);
        self
    }

    /// What is told to those who do not see the first page: its text without what runs along with the pages.
    pub fn told_first(&self) -> String {
        frames::told_first(&self.document)
    }

    /// How many pages.
    pub fn pages(&self) -> usize {
        self.document.pages().len()
    }

    /// How often Typst went over the document until its pages stood: again where they say how many they are.
    pub fn passes(&self) -> usize {
        self.passes
    }

    fn marked(&mut self) {
        if let Some(mark) = self.draft.take() {
            self.document = draft::marked(&self.document, mark);
        }
    }

    /// What is printed on each page with its header, footer and watermark, in the order in which it
    /// was written, without the words for pictures.
    pub fn printed(&self) -> Vec<String> {
        frames::printed(&self.document)
    }

    /// The plain text, as in [`Typeset::text`].
    pub fn text(&self) -> String {
        frames::text(&self.document)
    }

    /// Every page, to be drawn later.
    pub fn sheets(&mut self) -> Vec<Sheet> {
        self.marked();
        self.document.pages().iter().cloned().map(Sheet).collect()
    }

    /// The second half of setting: the PDF and the plain text.
    ///
    /// # Errors
    /// What the standards refuse: a picture without words for it, a heading that skips a level.
    pub fn export(mut self, meta: &PdfMeta) -> Result<Typeset, TypesetError> {
        self.marked();
        let info = self.document.info_mut();
        info.title = Some(meta.title.as_str().into());
        info.author = vec![meta.author.as_str().into()];
        info.keywords = meta.keywords.iter().map(|keyword| keyword.as_str().into()).collect();
        let pdf = typst_pdf::pdf(&self.document, &options(meta)?)
            .map_err(|problems| TypesetError::Source(place_all(&self.desk, &problems)))?;
        let pages = self.document.pages().len();
        Ok(Typeset { pdf, pages, text: frames::text(&self.document), document: self.document })
    }
}

/// The first page of each document side by side, as a PNG picture; empty if there is no document.
pub fn contact_sheet(documents: &[Typeset], dpi: u16) -> Vec<u8> {
    let pictures: Vec<(String, Vec<u8>)> = documents
        .iter()
        .enumerate()
        .filter_map(|(at, document)| Some((format!("page-{at}.png"), document.png(0, dpi * 2)?)))
        .collect();
    let shown: String = pictures
        .iter()
        .map(|(name, _)| format!("box(stroke: 0.5pt + luma(60%), image(\"{name}\", width: 210mm)),"))
        .collect();
    let main = format!(
        "#set page(width: auto, height: auto, margin: 8mm, fill: luma(96%))\n#stack(dir: ltr, spacing: 8mm, {shown})"
    );
    let files = pictures.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice()));
    let engine = TypstEngine::builder()
        .with_static_source_file_resolver([(MAIN, main.as_str())])
        .with_static_file_resolver(files)
        .comemo_evict_max_age(None)
        .build();
    let sheet = engine.compile::<_, PagedDocument>(MAIN).output;
    sheet.ok().and_then(|sheet| picture(&sheet, 0, dpi)).unwrap_or_default()
}

#[expect(clippy::float_arithmetic, reason = "a resolution, not a clinical number")]
fn picture(document: &PagedDocument, page: usize, dpi: u16) -> Option<Vec<u8>> {
    let pixel_per_pt = (f64::from(dpi) / 72.0).into();
    let options = typst_render::RenderOptions { pixel_per_pt, ..Default::default() };
    typst_render::render(document.pages().get(page)?, &options).encode_png().ok()
}

fn options(meta: &PdfMeta) -> Result<PdfOptions, TypesetError> {
    use chrono::Datelike as _;
    let day = meta.date.0;
    let number = |part: u32| u8::try_from(part).unwrap_or(1);
    let midnight = Datetime::from_ymd_hms(day.year(), number(day.month()), number(day.day()), 0, 0, 0)
        .ok_or_else(|| TypesetError::Other(format!("{} cannot be the date of a PDF", meta.date)))?;
    let standards = PdfStandards::new(&[PdfStandard::A_2a, PdfStandard::Ua_1])
        .map_err(|problem| TypesetError::Other(problem.message().to_string()))?;
    Ok(PdfOptions {
        ident: Smart::Custom(meta.ident.clone()),
        creator: Smart::Custom(Some(concat!("unguis ", env!("CARGO_PKG_VERSION")).into())),
        timestamp: Some(Timestamp::new_utc(midnight)),
        standards,
        tagged: true,
        ..PdfOptions::default()
    })
}

fn place_all(desk: &Desk, problems: &[SourceDiagnostic]) -> Vec<SourceProblem> {
    problems.iter().map(|problem| place(desk, problem)).collect()
}

fn place(desk: &Desk, problem: &SourceDiagnostic) -> SourceProblem {
    let hints = problem.hints.iter().map(|hint| format!(" (hint: {})", hint.v));
    let message = format!("{}{}", problem.message, hints.collect::<String>());
    let spot = || {
        let range = desk.range(problem.span)?;
        let id = problem.span.id()?;
        let source = desk.source(id).ok()?;
        let (line, column) = source.lines().byte_to_line_column(range.start)?;
        Some((id.vpath().get_without_slash().to_owned(), line + 1, column + 1))
    };
    let (file, line, column) = spot().unwrap_or_else(|| (MAIN.to_owned(), 0, 0));
    SourceProblem { file, line, column, message }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(main: &str) -> Result<Typeset, TypesetError> {
        let source = TypstSource { main: main.into(), files: Vec::new() };
        let meta = PdfMeta {
            title: "A title".into(),
            author: "A clinic".into(),
            keywords: vec!["one".into()],
            date: CivilDate::of(2026, 11, 25).expect("a literal date"),
            ident: "LFC-0001 note 1".into(),
        };
        Typesetter::new().typeset(&source, &meta)
    }

    const HEAD: &str = "#set text(font: (\"Noto Sans\", \"DejaVu Sans\"), fallback: false)\n";

    #[test]
    fn a_small_document_is_set_the_same_each_time() {
        let main = format!("{HEAD}= Hello\nWörld → ≤ ☐ one two\n#pagebreak()\nthree");
        let one = set(&main).expect("is set");
        assert_eq!(one.pages, 2);
        assert_eq!(one.text, "Hello\nWörld → ≤ ☐ one two\n\u{c}three");
        assert!(one.pdf.starts_with(b"%PDF-1.7"));
        Typesetter::evict();
        assert_eq!(set(&main).expect("is set").pdf, one.pdf);
        assert!(one.png(1, 40).is_some_and(|png| png.starts_with(b"\x89PNG")));
        assert_eq!(one.png(2, 40), None);
        assert!(contact_sheet(&[one], 20).starts_with(b"\x89PNG"));
    }

    #[test]
    fn a_page_is_drawn_in_outlines_alone() {
        let source = TypstSource {
            main: format!("{HEAD}= Hello\nWörld, #text(red)[*bold* and] 68 kg → ☐"),
            files: Vec::new(),
        };
        let mut layout = Typesetter::new().lay_out(&source).expect("is set");
        let svg = layout.sheets()[0].svg();
        let count = |what: &str| svg.matches(what).count();
        assert_eq!((count("<use"), count("<symbol"), count("<text")), (0, 0, 0), "{svg}");
        // A run for the heading, and for each change of the text; no letter is lost of the 24, and the ground of
        // the page lies below.
        assert!(count("<path") >= 5 && count("M") == 24 + 1, "{svg}");
    }

    #[test]
    fn a_page_is_drawn_in_as_many_dots_as_are_asked_for() {
        let drawn = |text: &str, width: u16| {
            let main = format!("#set page(width: 100pt, height: 141pt)\n{HEAD}{text}");
            let mut layout =
                Typesetter::new().lay_out(&TypstSource { main, files: Vec::new() }).expect("is set");
            let dots = layout.sheets()[0].png(width);
            let mut reader = png::Decoder::new(std::io::Cursor::new(dots)).read_info().expect("a picture");
            let mut bytes = vec![0; reader.output_buffer_size().expect("small")];
            let info = reader.next_frame(&mut bytes).expect("whole");
            ((info.width, info.height, info.color_type), bytes)
        };
        let (black, dots) = drawn("#rect(width: 100%, height: 100%, fill: black)", 200);
        assert_eq!(black, (200, 282, png::ColorType::Grayscale));
        // The ground is white, and what is printed on it is black and where it belongs.
        assert_eq!((dots[0], dots[141 * 200 + 100]), (255, 0));
        let (red, dots) = drawn("#rect(width: 100%, height: 100%, fill: rgb(255, 0, 0))", 300);
        assert_eq!(red, (300, 423, png::ColorType::Rgb));
        let middle = (211 * 300 + 150) * 3;
        assert_eq!((&dots[..3], &dots[middle..middle + 3]), (&[255u8; 3][..], &[255, 0, 0][..]));
    }

    #[test]
    fn pages_that_look_the_same_are_one_and_others_are_not() {
        let looks = |main: &str| -> Vec<String> {
            let source = TypstSource { main: format!("{HEAD}{main}"), files: Vec::new() };
            let mut layout = Typesetter::new().lay_out(&source).expect("is set");
            layout.sheets().iter().map(Sheet::look).collect()
        };
        let one = looks("= Hello\n68 kg\n#pagebreak()\nthree");
        // Another place in the source is no other look.
        assert_eq!(looks("// a remark\n#let x = 1\n= Hello\n68 kg\n#pagebreak()\nthree"), one);
        for other in [
            "69 kg",
            "*68 kg*",
            "68  kg #h(1pt)!",
            "68 kg #line()",
            "#text(red)[68 kg]",
            "#move(dx: 1pt)[68 kg]",
        ] {
            let other = looks(&format!("= Hello\n{other}\n#pagebreak()\nthree"));
            assert!(other[0] != one[0] && other[1] == one[1], "{other:?}");
        }
    }

    #[test]
    fn what_runs_along_with_the_pages_stands_once() {
        let main = format!(
            "#set page(header: [top], background: [DRAFT], footer: context [foot #pdf.artifact(kind: \"page-number\", \
             counter(page).display())])\n{HEAD}= one\n#pagebreak()\ntwo\n#pagebreak()\nthree"
        );
        let set = set(&main).expect("is set");
        assert_eq!(set.text, "top\none\n\u{c}two\n\u{c}three\nfoot");
        for (page, word) in set.printed().iter().zip(["one", "two", "three"]) {
            assert!(["top", word, "foot", "DRAFT"].iter().all(|word| page.contains(word)), "{page}");
        }
        assert!(set.printed()[1].ends_with('2'), "{:?}", set.printed());
    }

    #[test]
    fn a_letter_with_a_raised_accent_is_one_letter() {
        let set = set(&format!("{HEAD}= Hello\none P\u{352}Q\u{352} two")).expect("is set");
        assert_eq!(set.text, "Hello\none P\u{352}Q\u{352} two");
        let set = self::set(&format!("{HEAD}= Hello\n\u{6c0}")).expect("is set");
        assert_eq!(set.text, "Hello\n\u{6c0}");
        // Accents above one another without a letter stay in the text too.
        let set = self::set(&format!("{HEAD}= Hello\n\u{30e}\u{301}i")).expect("is set");
        assert_eq!(set.text, "Hello\n\u{30e}\u{301}i");
    }

    #[test]
    fn a_row_of_a_table_is_a_line_of_text() {
        let main = format!(
            "{HEAD}= T\nbefore\n#table(columns: (3cm, 3cm), table.header([Toe], [Phenol]), [L1], \
             [three times 60\u{a0}s; end point: tissue grey], [R1], [none])\nafter\n\
             #grid(columns: (3cm, 3cm), [Label], [a value \\ in two lines])\n\
             #box(image(bytes(\"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 9 9'/>\"), \
             height: 1em, alt: \"ticked\")) Marked"
        );
        assert_eq!(
            set(&main).expect("is set").text,
            "T\nbefore\nToe\tPhenol\nL1\tthree times 60 s; end point: tissue grey\nR1\tnone\nafter\n\
             Label  a value\nin two lines\n[ticked] Marked"
        );
    }

    #[test]
    fn a_figure_is_told_in_words_and_its_letters_are_not() {
        let main = format!(
            "{HEAD}= T\n#figure(alt: \"two feet, L1 hatched\", kind: \"picture\", supplement: none, \
             box[L1 \\ Left foot])\nafter"
        );
        assert_eq!(set(&main).expect("is set").text, "T\n[two feet, L1 hatched]\nafter");
    }

    #[test]
    fn marks_are_where_they_were_placed_and_cut_where_they_are_clipped() {
        let main = format!(
            "#set page(paper: \"a4\", margin: 0pt)\n{HEAD}#place(dx: 20mm, dy: 30mm, box(width: 10mm, \
             height: 5mm, clip: true, place(rect(width: 40mm, height: 2mm, fill: black))))\
             #place(dx: 50mm, dy: 60mm, rotate(90deg, origin: top + left, rect(width: 8mm, height: 2mm, fill: black)))\
             #place(dx: 30mm, dy: 100mm, figure(alt: \"a dot\", circle(radius: 1mm)))\n= H"
        );
        let set = set(&main).expect("is set");
        assert_eq!(set.picture_words(), ["a dot"]);
        let pages = set.marks();
        let shown: Vec<(MarkKind, [i64; 4])> = pages[0]
            .iter()
            .map(|mark| {
                let box_of = [mark.left, mark.top, mark.right, mark.bottom];
                (mark.kind.clone(), box_of.map(|edge| edge.round() as i64))
            })
            .collect();
        assert_eq!(shown[0], (MarkKind::Field, [20, 30, 30, 35]));
        assert_eq!(shown[1], (MarkKind::Shape, [20, 30, 30, 32]));
        assert_eq!(shown[2], (MarkKind::Shape, [48, 60, 50, 68]));
        assert!(matches!(&shown.last().expect("a heading").0, MarkKind::Text(text) if text == "H"));
    }

    #[test]
    fn a_character_without_a_glyph_is_named() {
        let problem = set(&format!("{HEAD}= Hello\nShe likes 漢 a lot")).expect_err("no face has it");
        let TypesetError::MissingGlyphs(glyphs) = &problem else { panic!("{problem}") };
        assert_eq!(glyphs[0].character, "漢");
        assert!(problem.to_string().contains("(U+6F22), in: She likes 漢 a lot"), "{problem}");
    }

    #[test]
    fn mistakes_and_warnings_have_a_place() {
        let said = |main: &str| set(main).expect_err("a mistake").to_string();
        assert_eq!(said("= A\nab #foo"), "main.typ:2:5: unknown variable: foo");
        assert!(
            said("#set text(font: \"nope\")\n= A").starts_with("main.typ:1:17: unknown font family: nope")
        );
        assert!(said("#read(\"/etc/passwd\")").contains("file not found"));
        assert!(said(&format!("{HEAD}== Second level first")).contains("heading"));
    }
}
