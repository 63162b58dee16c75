//! Typst engines that are used again, each with the files that it read last.
//!
//! An engine holds Typst's whole library. Building one for every document means hashing that
//! library and parsing the shared files each time: a tenth of the time of a batch. Knows no
//! document.

use std::borrow::Cow;
use std::collections::HashMap;
use std::fmt;
use std::sync::{Arc, Mutex, PoisonError};

use typst::diag::{FileError, FileResult};
use typst::foundations::Bytes;
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst_as_lib::file_resolver::FileResolver;
use typst_as_lib::{TypstEngine, TypstTemplateCollection};

use crate::render::TypstSource;
use crate::typeset::Fonts;

/// The path of the main file. Paths are constant: Typst never forgets one.
pub const MAIN: &str = "main.typ";

/// Desks at which nobody sits: as many as ever worked at once.
#[derive(Debug, Clone, Default)]
pub(super) struct Desks {
    fonts: Fonts,
    free: Arc<Mutex<Vec<Tools>>>,
    /// What the main files import, as it was parsed last: the same for all desks.
    parsed: Parsed,
}

/// Files by their path, parsed.
type Parsed = Arc<Mutex<HashMap<FileId, Source>>>;

impl Desks {
    /// None yet.
    pub(super) fn new(fonts: Fonts) -> Desks {
        Desks { fonts, ..Desks::default() }
    }

    /// A desk with these files on it and no others. It is free again when dropped.
    pub(super) fn take(&self, source: &TypstSource) -> Desk {
        let free = self.free.lock().unwrap_or_else(PoisonError::into_inner).pop();
        let tools = free.unwrap_or_else(|| Tools::new(&self.fonts));
        tools.files.lay_out(source, &self.parsed);
        Desk { tools: Some(tools), free: self.free.clone() }
    }
}

/// One engine, taken by one document.
pub(super) struct Desk {
    tools: Option<Tools>,
    free: Arc<Mutex<Vec<Tools>>>,
}

impl Desk {
    /// The engine.
    pub(super) fn engine(&self) -> &TypstEngine<TypstTemplateCollection> {
        &self.tools.as_ref().expect("they are taken away only when the desk is dropped").engine
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        self.free.lock().unwrap_or_else(PoisonError::into_inner).extend(self.tools.take());
    }
}

struct Tools {
    engine: TypstEngine<TypstTemplateCollection>,
    files: Files,
}

impl Tools {
    fn new(fonts: &Fonts) -> Tools {
        let files = Files::default();
        let engine = TypstEngine::builder()
            .fonts(fonts.faces().iter().cloned())
            .add_file_resolver(files.clone())
            // The cache is shared by all threads: it is emptied from one place, with `evict`.
            .comemo_evict_max_age(None)
            .build();
        Tools { engine, files }
    }
}

impl fmt::Debug for Tools {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Tools").finish_non_exhaustive()
    }
}

/// The files that an engine may read, parsed. They change only between two documents.
#[derive(Debug, Clone, Default)]
struct Files(Parsed);

impl Files {
    /// Replaces what is there; a file with the same text stays as it was parsed, here or at another desk.
    fn lay_out(&self, source: &TypstSource, parsed: &Parsed) {
        let mut files = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let mut before = std::mem::take(&mut *files);
        let shared = source.files.iter().map(|(path, text)| (path.as_str(), text.as_str()));
        for (path, text) in shared.chain([(MAIN, source.main.as_str())]) {
            let is_main = path == MAIN;
            // A path that Typst refuses cannot be imported either: it will say that it is not there.
            let Ok(path) = VirtualPath::new(path) else { continue };
            let id = RootedPath::new(VirtualRoot::Project, path).intern();
            let kept = before.remove(&id).filter(|kept| kept.text() == text);
            let parse = || Source::new(id, text.to_owned());
            // A main file is another one each time.
            let laid =
                kept.unwrap_or_else(|| if is_main { parse() } else { of_all(parsed, id, text, parse) });
            files.insert(id, laid);
        }
    }
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

impl FileResolver for Files {
    fn resolve_binary(&self, id: FileId) -> FileResult<Cow<'_, Bytes>> {
        Err(not_found(id))
    }

    fn resolve_source(&self, id: FileId) -> FileResult<Cow<'_, Source>> {
        let files = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        files.get(&id).cloned().map(Cow::Owned).ok_or_else(|| not_found(id))
    }
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
        let tools = desk.tools.as_ref()?;
        let id = RootedPath::new(VirtualRoot::Project, VirtualPath::new(path).ok()?).intern();
        tools.files.resolve_source(id).ok().map(|source| source.text().to_owned())
    }

    #[test]
    fn a_desk_is_used_again_and_holds_only_what_was_last_laid_on_it() {
        let desks = Desks::default();
        let first = desks.take(&source("one", &[("a.typ", "A"), ("b.typ", "B")]));
        let second = desks.take(&source("two", &[]));
        assert_eq!(text(&first, MAIN).as_deref(), Some("one"));
        assert_eq!((text(&second, MAIN).as_deref(), text(&second, "a.typ")), (Some("two"), None));
        drop((first, second));
        assert_eq!(desks.free.lock().expect("no thread broke").len(), 2);
        let (again, other) =
            (desks.take(&source("three", &[("a.typ", "A2")])), desks.take(&source("four", &[])));
        assert!(desks.free.lock().expect("no thread broke").is_empty());
        assert_eq!((text(&again, "a.typ").as_deref(), text(&again, "b.typ")), (Some("A2"), None));
        assert_eq!(text(&other, "a.typ"), None);
    }
}
