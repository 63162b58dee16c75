//! The command line: names, options and their help. Definitions only.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::engine::{ArgValueCandidates, ArgValueCompleter};

use crate::cli::completions;
use crate::date::{CivilDate, TimeOfDay};
use crate::register::end::Expected;
use crate::units::TextValue;

/// Writes the paperwork of toenail surgery: one case file in; operation note, GP letter, consent
/// form and aftercare leaflet out.
#[derive(Debug, Parser)]
#[command(name = "unguis", version, max_term_width = 100, after_help = EXIT_STATUS)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// Use colour on the terminal.
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto")]
    pub color: Colour,
}

const EXIT_STATUS: &str = "Exit status: 0 done; 1 findings stop it; 2 wrong usage, or a file could not be \
                           read, used or written; 3 a fault of unguis itself.\n\n\
                           A drafting aid for a registered practitioner; not a medical device. Check every \
                           document against the product characteristics and local policy before it is used.";

/// When to use colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Colour {
    Auto,
    Always,
    Never,
}

impl Colour {
    /// As asked, else as the terminal takes it.
    pub(super) fn is_wanted(self) -> bool {
        match self {
            Colour::Always => true,
            Colour::Never => false,
            Colour::Auto => crate::store::io::takes_colour(),
        }
    }
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Check cases against the rules, or the clinic file alone; make nothing
    Check(Check),
    /// Show every derived value with its working and source
    Show(Show),
    /// Make PDFs marked DRAFT, even with open findings
    Draft(Make),
    /// Make final PDFs and enter them in the register
    Issue(Issue),
    /// Show what has changed since each document was last issued
    Compare(Compare),
    /// Record that an issued document has gone to the patient or the GP
    Sent(Sent),
    /// List the operations of a day
    Day(Day),
    /// Count the outcomes of the operations of a period
    Audit(Audit),
    /// List what has not gone, what is held back, and visits that are due
    Outstanding(Listing),
    /// Bind the letters that have not gone into one file to print
    Print(Print),
    /// List who had something of a lot, for a recall
    Trace(Trace),
    /// Find a case by number, name, day of birth or reference
    Find(Find),
    /// Check every issued file against the register
    Verify(Verify),
    /// Copy the folder of issued documents, whole or not at all
    Backup(Backup),
    /// Explain a rule or open a page of the handbook; without a name, list them all
    Explain(Explain),
    /// Open a folder of cases in the browser of this computer, to fill them in
    Desk(Desk),
    /// Write the clinic file: its questions are asked on a terminal, else written to be filled in
    Setup(Setup),
    /// Write a case file of questions to fill in
    New(New),
    /// Write case files anew in full: dates, times, units and words as they are printed
    Tidy(Tidy),
    /// Write the built-in templates out, to be changed
    Templates(Templates),
    /// Try changed templates on all demo variants
    CheckTemplates(CheckTemplates),
    /// Print the JSON Schema of a case or clinic file, for editors
    Schema(Schema),
    /// Print the script by which a shell completes commands and names
    Completions(Completions),
    /// Write the manual pages
    Manual(Manual),
    /// Print the picture of the four documents, or answer a test
    #[command(hide = true)]
    Dev(Dev),
}

/// Which cases, and in what light they are read.
#[derive(Debug, Clone, Args)]
pub struct Cases {
    /// Case files, or folders of them
    #[arg(required = true, value_name = "CASE", add = ArgValueCompleter::new(completions::cases))]
    pub cases: Vec<PathBuf>,
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub reading: Reading,
    /// How many cases to work on at once [default: one a processor]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=64))]
    pub jobs: Option<u16>,
}

/// How a case is read.
#[derive(Debug, Clone, Args)]
pub struct Reading {
    /// The clinic file [default: clinic.yaml beside the case]
    #[arg(long, value_name = "FILE")]
    pub clinic: Option<PathBuf>,
    /// The day to judge by, like 2026-11-25 [default: today]
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub today: Option<CivilDate>,
}

fn day(text: &str) -> Result<CivilDate, String> {
    CivilDate::parse(text)
}

fn name(text: &str) -> Result<String, String> {
    match text.trim() {
        "" => Err("it is empty: write a name, or leave it out".to_owned()),
        name => Ok(name.to_owned()),
    }
}

fn time(text: &str) -> Result<TimeOfDay, String> {
    TimeOfDay::parse(text)
}

/// A list: of which cases, how it is printed, and where its page goes.
#[derive(Debug, Clone, Args)]
pub struct Listing {
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub cases: Cases,
    /// How to print; the page is made for people alone
    #[arg(long, default_value = "human")]
    pub format: ListFormat,
    /// The folder of the register; the page goes into `lists` below it
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
    /// Put names and what else tells who somebody is into the CSV
    #[arg(long)]
    pub names: bool,
    /// The time that stands on the page, like 16:05 [default: now]
    #[arg(long, value_name = "TIME", value_parser = time)]
    pub at: Option<TimeOfDay>,
    /// Use changed templates from this folder
    #[arg(long, value_name = "DIR")]
    pub templates: Option<PathBuf>,
}

/// How a list is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ListFormat {
    /// For people, with a page to print
    Human,
    /// For programs
    Json,
    /// A table, without names
    Csv,
}

/// `unguis audit`
#[derive(Debug, Args)]
pub struct Audit {
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub listing: Listing,
    /// The first day of surgery [default: that of the first operation]
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub from: Option<CivilDate>,
    /// The last day of surgery [default: that of the last operation]
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub to: Option<CivilDate>,
    /// Make the page that may leave the clinic: small numbers hidden, no curve, no groups
    #[arg(long)]
    pub outside: bool,
}

/// `unguis day`
#[derive(Debug, Args)]
pub struct Day {
    /// The day, like 2026-12-01
    #[arg(value_name = "DATE", value_parser = day)]
    pub date: CivilDate,
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub listing: Listing,
}

/// `unguis print`
#[derive(Debug, Args)]
pub struct Print {
    /// The letters to practices
    #[arg(long)]
    pub letters: bool,
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub listing: Listing,
}

/// `unguis trace`
#[derive(Debug, Args)]
pub struct Trace {
    /// The lot, as it stands on the label
    pub lot: String,
    /// Look only at this
    #[arg(long, value_name = "WHAT")]
    pub of: Option<LotOf>,
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub listing: Listing,
}

/// What a lot is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum LotOf {
    Anaesthetic,
    Phenol,
    Dressing,
    Tray,
    Cycle,
    Pack,
}

/// `unguis find`
#[derive(Debug, Args)]
pub struct Find {
    /// NHS, CHI or H&C number, name, day of birth or reference; several words in quotation marks
    pub words: String,
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub listing: Listing,
}

/// How findings are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// With the lines of the file
    Human,
    /// One line a finding
    Short,
    /// For programs
    Json,
}

/// `unguis check`
#[derive(Debug, Args)]
pub struct Check {
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub cases: Cases,
    /// How to print
    #[arg(long, default_value = "human")]
    pub format: Format,
    /// The folder of the register with which the patients are compared
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
}

/// How values are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ShowFormat {
    /// For people
    Human,
    /// For programs
    Json,
}

/// `unguis show`
#[derive(Debug, Args)]
pub struct Show {
    /// The case file
    #[arg(add = ArgValueCompleter::new(completions::cases))]
    pub case: PathBuf,
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub reading: Reading,
    /// How to print
    #[arg(long, default_value = "human")]
    pub format: ShowFormat,
}

/// Where documents go and which are made.
#[derive(Debug, Clone, Args)]
pub struct Output {
    /// The folder for documents and register
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
    /// Only this document; may be given several times
    #[arg(long, value_name = "DOCUMENT", value_parser = document_name,
          add = ArgValueCandidates::new(completions::documents))]
    pub only: Vec<String>,
    /// Use changed templates from this folder
    #[arg(long, value_name = "DIR")]
    pub templates: Option<PathBuf>,
    /// Also write each document as plain text beside the PDF
    #[arg(long)]
    pub text: bool,
}

pub(super) fn document_name(text: &str) -> Result<String, String> {
    let names = || crate::documents::DOCUMENTS.iter().map(|document| document.name);
    if names().any(|name| name == text) {
        return Ok(text.to_owned());
    }
    let all = crate::words::List::or_ticked(names());
    Err(match crate::words::nearest(text, names()) {
        Some(near) => format!("did you mean `{near}`? The documents are {all}"),
        None => format!("the documents are {all}"),
    })
}

/// `unguis draft`
#[derive(Debug, Args)]
pub struct Make {
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub cases: Cases,
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub output: Output,
}

/// `unguis issue`
#[derive(Debug, Args)]
pub struct Issue {
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub cases: Cases,
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub output: Output,
    /// Why documents are issued again
    #[arg(long, value_name = "REASON")]
    pub because: Option<String>,
    /// Who issues, for the register [default: the operator of the case]
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
}

/// `unguis compare`
#[derive(Debug, Args)]
pub struct Compare {
    /// Case files, or folders of them
    #[arg(required = true, value_name = "CASE", add = ArgValueCompleter::new(completions::cases))]
    pub cases: Vec<PathBuf>,
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub reading: Reading,
    #[command(flatten)]
    #[expect(missing_docs, reason = "flattened")]
    pub output: Output,
    /// How to print
    #[arg(long, default_value = "human")]
    pub format: ShowFormat,
}

/// `unguis sent`
#[derive(Debug, Args)]
pub struct Sent {
    /// The reference of the case, or of several, and then the document
    #[arg(value_name = "REFERENCE… DOCUMENT", required_unless_present_any = ["printed", "letters"],
          add = ArgValueCandidates::new(completions::references_and_documents))]
    pub what: Vec<String>,
    /// The letters of the last printing run, in the versions that were printed
    #[arg(long, conflicts_with_all = ["letters", "undo"])]
    pub printed: bool,
    /// The letters to the practices: of the references that are named, else all that have not gone
    #[arg(long, conflicts_with = "undo")]
    pub letters: bool,
    /// To whom it went [default of letters: gp]
    #[arg(long, value_name = "WHOM", ignore_case = true)]
    pub to: Option<Recipient>,
    /// How it went
    #[arg(long, value_name = "HOW", ignore_case = true)]
    pub how: Option<How>,
    /// The reference of the message or the parcel
    #[arg(long, value_name = "TEXT", value_parser = name, requires = "how")]
    pub how_reference: Option<String>,
    /// Take the last such entry back, by a further one
    #[arg(long, requires = "because")]
    pub undo: bool,
    /// Why it is taken back
    #[arg(long, value_name = "REASON", value_parser = name, requires = "undo")]
    pub because: Option<String>,
    /// The day, like 2026-11-25 [default: today]
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub on: Option<CivilDate>,
    /// Who sent it
    #[arg(long, value_name = "NAME", value_parser = name)]
    pub by: Option<String>,
    /// The day on which it is entered, like 2026-11-25 [default: today]
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub today: Option<CivilDate>,
    /// The folder of the register
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
}

/// How a document went.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum How {
    Post,
    SecureMail,
    ByHand,
    Portal,
}

/// To whom a document went.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Recipient {
    Patient,
    #[value(alias = "parent")]
    Guardian,
    #[value(alias = "doctor")]
    Gp,
    Other,
}

/// `unguis verify`
#[derive(Debug, Args)]
pub struct Verify {
    /// Folders of registers, where there are several
    #[arg(value_name = "DIR", conflicts_with = "out")]
    pub folders: Vec<PathBuf>,
    /// The folder of the register
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
    /// Seal the end of the register with the clinic's key, if everything is as it was issued
    #[arg(long, value_name = "KEY", conflicts_with = "expect")]
    pub seal: Option<PathBuf>,
    /// Count only seals by this key: its fingerprint, or a file that holds it
    #[arg(long, value_name = "KEY")]
    pub trust: Vec<String>,
    /// Compare with the end of the register as it was written down before
    #[arg(long, value_name = "LINES:HASH")]
    pub expect: Option<Expected>,
    /// Make a key to seal with, in a new file, and its public half beside it
    #[arg(long, value_name = "FILE", conflicts_with_all = ["folders", "out", "seal", "trust", "expect"])]
    pub new_key: Option<PathBuf>,
    /// Print the public half of a key and its fingerprint
    #[arg(long, value_name = "FILE", conflicts_with_all = ["folders", "out", "seal", "trust", "expect", "new_key"])]
    pub show_key: Option<PathBuf>,
    /// How to print
    #[arg(long, default_value = "human")]
    pub format: ShowFormat,
}

/// `unguis backup`
#[derive(Debug, Args)]
pub struct Backup {
    /// The folder of the copies: a new or empty one, or that of earlier copies
    #[arg(value_name = "DIR")]
    pub to: PathBuf,
    /// The folder of the register
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
    /// Copy even if something is lost or changed; the copy before is kept
    #[arg(long)]
    pub with_faults: bool,
    /// How to print
    #[arg(long, default_value = "human")]
    pub format: ShowFormat,
}

/// `unguis explain`
#[derive(Debug, Args)]
pub struct Explain {
    /// A rule, or a page of the handbook
    #[arg(add = ArgValueCandidates::new(completions::to_explain))]
    pub name: Option<String>,
}

/// `unguis desk`
#[derive(Debug, Args)]
pub struct Desk {
    /// The folder with the cases and their clinic file
    #[arg(value_name = "FOLDER", default_value = ".")]
    pub folder: PathBuf,
    /// Only print the address
    #[arg(long)]
    pub no_open: bool,
    /// The folder of the register [default: `out` in the folder]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// The day to judge by, like 2026-11-25 [default: today]
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub today: Option<CivilDate>,
}

/// `unguis setup`
#[derive(Debug, Args)]
pub struct Setup {
    /// Where to write it
    #[arg(long, value_name = "FILE", default_value = "clinic.yaml")]
    pub to: PathBuf,
}

/// `unguis new`
#[derive(Debug, Args)]
pub struct New {
    /// The reference of the new case, like LFC-0117
    pub reference: String,
    /// The clinic file
    #[arg(long, value_name = "FILE", default_value = "clinic.yaml")]
    pub clinic: PathBuf,
    /// Take operator, assistant and room over from this case, and nothing else: its file or its reference
    #[arg(long, value_name = "OTHER")]
    pub like: Option<PathBuf>,
    /// Where to write it [default: REFERENCE.yaml beside the clinic file]
    #[arg(long, value_name = "FILE")]
    pub to: Option<PathBuf>,
}

/// `unguis templates`
#[derive(Debug, Args)]
pub struct Templates {
    /// The folder to write to; it must be new or empty
    pub dir: PathBuf,
}

/// `unguis check-templates`
#[derive(Debug, Args)]
pub struct CheckTemplates {
    /// The folder with changed templates
    pub dir: PathBuf,
}

/// `unguis tidy`
#[derive(Debug, Args)]
pub struct Tidy {
    /// Case or clinic files, or folders of case files
    #[arg(required = true, value_name = "CASE")]
    pub files: Vec<PathBuf>,
    /// Write nothing: name the files that are not tidy, and end with status 1 if there are any
    #[arg(long)]
    pub check: bool,
}

/// `unguis schema`
#[derive(Debug, Args)]
pub struct Schema {
    /// Of which file
    pub of: SchemaOf,
}

/// Of which file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum SchemaOf {
    Case,
    Clinic,
}

/// `unguis completions`
#[derive(Debug, Args)]
pub struct Completions {
    /// The shell
    pub shell: Shell,
}

/// A shell that can be told how to complete.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Shell {
    Bash,
    Elvish,
    Fish,
    Powershell,
    Zsh,
}

impl Shell {
    /// The word for it.
    pub(super) fn name(self) -> &'static str {
        match self {
            Shell::Bash => "bash",
            Shell::Elvish => "elvish",
            Shell::Fish => "fish",
            Shell::Powershell => "powershell",
            Shell::Zsh => "zsh",
        }
    }
}

/// `unguis manual`
#[derive(Debug, Args)]
pub struct Manual {
    /// The folder to write to; it must be new or empty
    pub dir: PathBuf,
}

/// `unguis dev`
#[derive(Debug, Args)]
pub struct Dev {
    /// What
    #[command(subcommand)]
    pub what: DevCommand,
}

/// For the project's own tests and pictures.
#[derive(Debug, Subcommand)]
pub enum DevCommand {
    /// Read numbers from standard input and say of each whether its check digit holds
    NhsNumbers,
    /// Read questions to the statistics as JSON from standard input and answer them as JSON
    Statistics,
    /// Draw the first pages of a case's four documents side by side
    Picture {
        /// The case file
        case: PathBuf,
        /// The PNG to write
        to: PathBuf,
        #[command(flatten)]
        #[expect(missing_docs, reason = "flattened")]
        reading: Reading,
    },
    /// Print how long each step of a warm document takes
    Times {
        /// Case files, or a folder of them
        #[arg(required = true)]
        cases: Vec<PathBuf>,
        /// How often
        #[arg(long, default_value_t = 50)]
        runs: u32,
        #[command(flatten)]
        #[expect(missing_docs, reason = "flattened")]
        reading: Reading,
    },
    /// Print how long each list of many cases takes, and how much memory
    Lists(Listing),
    /// Print the examples of every short form as JSON
    Forms,
    /// Write invented cases
    Invent {
        /// The folder to write to
        dir: PathBuf,
        /// How many
        #[arg(long, default_value_t = 1000)]
        count: u32,
        /// The seed
        #[arg(long, default_value_t = 1)]
        seed: u64,
        /// Those of a year with what became of each, for the audit
        #[arg(long)]
        year: bool,
    },
}
