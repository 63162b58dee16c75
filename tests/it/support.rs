//! Running the program as a person would, in a folder of its own.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use unguis::demo;
use unguis::documents::Edition;

/// A document issued for the first time, with nothing answered and nothing open.
pub(crate) fn first_edition() -> Edition {
    Edition::first(demo::today())
}

/// The checkout.
pub(crate) fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A file of the demo, with the routine case as its blocks have it: what a test changes stands on a line of its own.
pub(crate) fn demo_file(name: &str) -> PathBuf {
    match name {
        "routine-adult.yaml" => root().join("tests/fixtures/routine-long.yaml"),
        _ => root().join("cases").join(name),
    }
}

/// What a run printed and how it ended.
pub(crate) struct Ran {
    /// Standard output.
    pub(crate) stdout: String,
    /// Standard error.
    pub(crate) stderr: String,
    /// Exit status; -1 if it was killed.
    pub(crate) code: i32,
}

/// Runs the program in the checkout with these arguments, without colour and without a terminal.
pub(crate) fn unguis<I, S>(args: I) -> Ran
where
    I: IntoIterator<Item = S>,
    S: AsRef<std::ffi::OsStr>,
{
    unguis_in(&root(), args)
}

/// Runs the program in a folder.
pub(crate) fn unguis_in<I, S>(folder: &Path, args: I) -> Ran
where
    I: IntoIterator<Item = S>,
    S: AsRef<std::ffi::OsStr>,
{
    let output = Command::new(env!("CARGO_BIN_EXE_unguis"))
        .args(args)
        .current_dir(folder)
        .env_remove("CLICOLOR_FORCE")
        .output()
        .expect("the program starts");
    ran(output)
}

fn ran(output: Output) -> Ran {
    Ran {
        stdout: String::from_utf8(output.stdout).expect("output is UTF-8"),
        stderr: String::from_utf8(output.stderr).expect("output is UTF-8"),
        code: output.status.code().unwrap_or(-1),
    }
}

/// Runs an outside tool that `.ci/run` and README install, and gives its standard output.
pub(crate) fn tool(name: &str, args: &[&str]) -> String {
    let output = Command::new(name)
        .args(args)
        .output()
        .unwrap_or_else(|problem| panic!("{name} is needed by this test (see README): {problem}"));
    assert!(output.status.success(), "{name} {args:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// A folder that goes when the test ends.
pub(crate) fn scratch() -> tempfile::TempDir {
    tempfile::tempdir().expect("a temporary folder can be made")
}

/// A folder with `cases` in it: the clinic file and so many routine cases, `LFC-0200` and on, each with its own
/// reference.
pub(crate) fn clinic(cases: usize) -> tempfile::TempDir {
    let folder = scratch();
    let inside = folder.path().join("cases");
    std::fs::create_dir(&inside).expect("scratch can be written");
    std::fs::copy(demo_file("clinic.yaml"), inside.join("clinic.yaml")).expect("scratch can be written");
    let text = std::fs::read_to_string(demo_file("routine-adult.yaml")).expect("a demo case can be read");
    for at in 0..cases {
        let reference = format!("LFC-{:04}", 200 + at);
        let text = text.replace("LFC-0117", &reference);
        std::fs::write(inside.join(format!("{reference}.yaml")), text).expect("scratch can be written");
    }
    folder
}

/// A small generator of the xorshift family: the same numbers on every machine.
pub(crate) struct Random(pub(crate) u64);

impl Random {
    /// A number below `end`; zero if there is none.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % (end.max(1) as u64)).expect("below a usize")
    }

    /// One of several things.
    pub(crate) fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())]
    }

    /// True once in so many times.
    pub(crate) fn once_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }
}

/// How many inputs a test tries: `UNGUIS_FUZZ=20` makes it twenty times as many.
pub(crate) fn inputs(usual: usize) -> usize {
    let factor = std::env::var("UNGUIS_FUZZ").ok().and_then(|factor| factor.parse().ok());
    usual * factor.unwrap_or(1)
}

/// Name and text of every file of a folder of fixtures, in the order of their names.
pub(crate) fn fixtures(folder: &str) -> Vec<(String, String)> {
    let folder = root().join("tests/fixtures").join(folder);
    let mut files: Vec<(String, String)> = std::fs::read_dir(folder)
        .expect("the fixtures are there")
        .map(|entry| {
            let path = entry.expect("a file").path();
            let name = path.file_name().expect("files have names").to_string_lossy().into_owned();
            (name, std::fs::read_to_string(&path).expect("fixtures are text"))
        })
        .collect();
    files.sort();
    files
}

/// The first paper of a kind that can be made of a demo case, and that case.
pub(crate) fn demo_paper(
    document: &'static unguis::documents::Document,
) -> (unguis::facts::Facts, unguis::documents::Paper) {
    use unguis::demo;
    let cases = demo::variants().into_iter().filter_map(|(name, text)| {
        unguis::pipeline::check(demo::source(name, text), &demo::clinic(), demo::today()).facts
    });
    let mut made = cases.filter_map(|facts| {
        let ready = unguis::documents::ready_papers(&facts).find(|paper| paper.document == document)?;
        Some((facts, ready))
    });
    made.next().unwrap_or_else(|| panic!("no demo case shows a {}", document.name))
}
