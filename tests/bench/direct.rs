//! The whole way of a case against Typst alone, driven directly on the same sources.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration as Offset, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt as _, World};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};
use unguis::diagnostic::SourceText;
use unguis::pipeline::{Press, Version, check};
use unguis::render::TypstSource;
use unguis::typeset::{Typesetter, faces};
use unguis::{demo, pipeline};

use crate::time;

const CASES: u32 = 40;
const ROUNDS: usize = 7;

/// Prints how long all cases take each way, and the ratio. Both run on one thread.
pub(crate) fn compare() {
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).use_current_thread().build();
    let cases: Vec<Arc<SourceText>> = demo::invent(CASES, 1)
        .into_iter()
        .map(|(name, text)| Arc::new(SourceText::new(name, text)))
        .collect();
    let press = Press::built_in();
    let sources: Vec<Vec<TypstSource>> = cases.iter().map(|case| rendered(case, &press)).collect();
    let documents: usize = sources.iter().map(Vec::len).sum();
    let (mut whole, mut direct, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
    // A round of each in turn: what else the machine does then falls on both. Between two rounds of
    // the same case lie all others, so the cache holds none of it.
    for _ in 0..ROUNDS {
        let ours = time(|| cases.iter().for_each(|case| through_unguis(case, &press)));
        let theirs = time(|| through_typst(&sources));
        ratios.push(ours.as_secs_f64() / theirs.as_secs_f64());
        whole.push(ours);
        direct.push(theirs);
    }
    drop(alone);
    ratios.sort_by(f64::total_cmp);
    let each = |times: &[Duration]| {
        times.iter().min().map_or(0.0, Duration::as_secs_f64) * 1000.0 / documents as f64
    };
    println!("{CASES} invented cases, {documents} documents, {ROUNDS} rounds of each");
    println!("case text to PDF                   least {:7.2} ms a document", each(&whole));
    println!("Typst alone on the same sources    least {:7.2} ms a document", each(&direct));
    println!(
        "ratio                              least {:7.3}      median {:7.3}",
        ratios[0],
        ratios[ROUNDS / 2]
    );
}

fn checked(case: &Arc<SourceText>) -> pipeline::Checked {
    check(case.clone(), &demo::clinic(), demo::today())
}

fn rendered(case: &Arc<SourceText>, press: &Press) -> Vec<TypstSource> {
    let checked = checked(case);
    let facts = checked.facts.as_ref().expect("invented cases can be read");
    let edition = checked.edition(Version::Issue { version: 1, replaces: None }, demo::today());
    let render = |paper: unguis::documents::Paper| {
        let view = paper.view(facts, &edition);
        press.templates.render(paper.document.template, &view).expect("built-in templates are filled")
    };
    checked.ready(&[]).into_iter().map(render).collect()
}

fn through_unguis(case: &Arc<SourceText>, press: &Press) {
    let checked = checked(case);
    let facts = checked.facts.as_ref().expect("invented cases can be read");
    let edition = checked.edition(Version::Issue { version: 1, replaces: None }, demo::today());
    for document in checked.ready(&[]) {
        let set = press.set(document, facts, &edition).expect("built-in templates are set");
        assert!(set.pages > 0);
    }
    Typesetter::evict();
}

fn through_typst(cases: &[Vec<TypstSource>]) {
    let mut world = Bare::new();
    for case in cases {
        for source in case {
            world.hold(source);
            let mut document = typst::compile::<PagedDocument>(&world).output.expect("the sources are sound");
            document.info_mut().title = Some("A title".into());
            let pdf = typst_pdf::pdf(&document, &options()).expect("the document fits the standards");
            assert!(pdf.starts_with(b"%PDF"));
        }
        // As often as we do it.
        Typesetter::evict();
    }
}

fn options() -> PdfOptions {
    let midnight = Datetime::from_ymd_hms(2026, 11, 25, 0, 0, 0).expect("a date");
    PdfOptions {
        ident: Smart::Custom("one".into()),
        timestamp: Some(Timestamp::new_utc(midnight)),
        standards: PdfStandards::new(&[PdfStandard::A_2a, PdfStandard::Ua_1]).expect("they go together"),
        tagged: true,
        ..PdfOptions::default()
    }
}

/// The smallest world in which Typst can work: library, fonts, and files that are parsed once.
struct Bare {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    main: FileId,
    files: Vec<Source>,
}

impl Bare {
    fn new() -> Bare {
        let fonts = faces().to_vec();
        Bare {
            library: LazyHash::new(Library::default()),
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
            main: id("main.typ"),
            files: Vec::new(),
        }
    }

    fn hold(&mut self, source: &TypstSource) {
        self.files.retain(|file| file.id() != self.main);
        for (path, text) in &source.files {
            if !self.files.iter().any(|file| file.id() == id(path)) {
                self.files.push(Source::new(id(path), text.clone()));
            }
        }
        self.files.push(Source::new(self.main, source.main.clone()));
    }
}

fn id(path: &str) -> FileId {
    RootedPath::new(VirtualRoot::Project, VirtualPath::new(path).expect("a path of ours")).intern()
}

impl World for Bare {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let found = self.files.iter().find(|file| file.id() == id);
        found.cloned().ok_or_else(|| FileError::NotFound(Path::new(id.vpath().get_without_slash()).into()))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        Err(FileError::NotFound(Path::new(id.vpath().get_without_slash()).into()))
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Offset>) -> Option<Datetime> {
        None
    }
}
