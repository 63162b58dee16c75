//! The world in which Typst sets one document: its files, the faces and a library without what could
//! run a text as code.
//!
//! Library and faces are shared by all desks, and so are the files that documents have in common, as
//! they were parsed. Knows no document.

use std::collections::HashMap;
use std::fmt;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use typst::diag::{FileError, FileResult};
use typst::foundations::{Binding, Bytes, Datetime, Duration, Module, Scope};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt as _, World};

use super::fonts::{self, Scripts};
use crate::render::TypstSource;

/// The path of the main file. Paths are constant: Typst never forgets one.
pub const MAIN: &str = "main.typ";

/// What no page may use, wherever it is asked for: `eval` runs a text as code, `plugin` runs a program.
const TAKEN_OUT: [&str; 2] = ["eval", "plugin"];

/// The files that documents have in common, parsed by the first that asks.
#[derive(Debug, Clone, Default)]
pub(super) struct Desks {
    parsed: Parsed,
}

/// Files by their path, parsed.
type Parsed = Arc<Mutex<HashMap<FileId, Source>>>;

impl Desks {
    /// A desk with these files on it and no others.
    pub(super) fn take(&self, source: &TypstSource) -> Desk {
        let mut files = HashMap::new();
        let mut scripts = Scripts::of(&source.main);
        for (path, text) in &source.files {
            scripts = scripts.and(Scripts::of(text));
            // A path that Typst refuses cannot be imported either: it will say that it is not there.
            if let Some(id) = id_of(path) {
                files.insert(id, Laid { text: text.clone(), source: OnceLock::new() });
            }
        }
        if let Some(id) = id_of(MAIN) {
            // A main file is another one each time.
            let main = OnceLock::from(Source::new(id, source.main.clone()));
            files.insert(id, Laid { text: String::new(), source: main });
        }
        Desk { files, parsed: self.parsed.clone(), scripts }
    }
}

/// A file on a desk, parsed when it is asked for: few documents import all that they might.
struct Laid {
    text: String,
    source: OnceLock<Source>,
}

/// A file that all desks share, parsed by the first that asks while the others wait.
fn of_all(parsed: &Parsed, id: FileId, text: &str, parse: impl FnOnce() -> Source) -> Source {
    let mut parsed = parsed.lock().unwrap_or_else(PoisonError::into_inner);
    match parsed.get(&id).filter(|known| known.text() == text) {
        Some(known) => known.clone(),
        None => {
            let new = parse();
            parsed.insert(id, new.clone());
            new
        }
    }
}

fn id_of(path: &str) -> Option<FileId> {
    Some(RootedPath::new(VirtualRoot::Project, VirtualPath::new(path).ok()?).intern())
}

/// The world of one document.
pub(super) struct Desk {
    files: HashMap<FileId, Laid>,
    parsed: Parsed,
    /// The scripts for which there are faces of their own, so far as the document is written in them.
    scripts: Scripts,
}

impl fmt::Debug for Desk {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Desk").finish_non_exhaustive()
    }
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        static LIBRARY: OnceLock<LazyHash<Library>> = OnceLock::new();
        LIBRARY.get_or_init(|| LazyHash::new(library()))
    }

    fn book(&self) -> &LazyHash<FontBook> {
        static BOOK: OnceLock<LazyHash<FontBook>> = OnceLock::new();
        BOOK.get_or_init(|| LazyHash::new(fonts::book()))
    }

    fn main(&self) -> FileId {
        id_of(MAIN).expect("a plain name is a path")
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let laid = self.files.get(&id).ok_or_else(|| not_found(id))?;
        let parse = || of_all(&self.parsed, id, &laid.text, || Source::new(id, laid.text.clone()));
        Ok(laid.source.get_or_init(parse).clone())
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        Err(not_found(id))
    }

    fn font(&self, index: usize) -> Option<Font> {
        fonts::face(index, self.scripts)
    }

    /// No page knows the day: what it says of one is in the case.
    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

/// Typst's own, without what is taken out: then it is out of reach under any name.
fn library() -> Library {
    let mut library = Library::builder().build();
    let mut scope = Scope::new();
    for (name, binding) in library.global.scope().iter() {
        if !TAKEN_OUT.contains(&name.as_str()) {
            scope.bind(name.clone(), binding.clone());
        }
    }
    library.global = Module::new("global", scope);
    library.std = Binding::detached(library.global.clone());
    library
}

fn not_found(id: FileId) -> FileError {
    FileError::NotFound(id.vpath().get_without_slash().into())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(main: &str, files: &[(&str, &str)]) -> TypstSource {
        let files = files.iter().map(|(path, text)| ((*path).to_owned(), (*text).to_owned())).collect();
        TypstSource { main: main.to_owned(), files }
    }

    fn text(desk: &Desk, path: &str) -> Option<String> {
        desk.source(id_of(path)?).ok().map(|source| source.text().to_owned())
    }

    #[test]
    fn a_desk_holds_only_what_was_laid_on_it() {
        let desks = Desks::default();
        let first = desks.take(&source("one", &[("a.typ", "A"), ("b.typ", "B")]));
        let second = desks.take(&source("two", &[]));
        assert_eq!(text(&first, MAIN).as_deref(), Some("one"));
        assert_eq!((text(&second, MAIN).as_deref(), text(&second, "a.typ")), (Some("two"), None));
        let again = desks.take(&source("three", &[("a.typ", "A2")]));
        assert_eq!((text(&again, "a.typ").as_deref(), text(&again, "b.typ")), (Some("A2"), None));
    }

    #[test]
    fn what_runs_a_text_is_in_no_scope() {
        let library = library();
        for name in TAKEN_OUT {
            assert!(library.global.scope().get(name).is_none(), "{name}");
        }
        let all = Library::builder().build().global.scope().iter().count();
        assert_eq!(library.global.scope().iter().count() + TAKEN_OUT.len(), all);
    }
}
