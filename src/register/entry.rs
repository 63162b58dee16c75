//! One line of the register, and its one way of being written.

use serde::{Deserialize, Serialize};

use crate::date::CivilDate;
use crate::hash::sha256;
use crate::identity::Marks;

/// What happened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "event", rename_all = "lowercase")]
#[expect(clippy::large_enum_variant, reason = "nearly every line of a register is the larger one")]
pub enum Event {
    /// A version of a document was issued.
    Issued(Issued),
    /// A version of a document went to somebody.
    Sent(Sent),
    /// That something went was entered by mistake.
    Undone(Undone),
}

/// A version of a document was issued.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Issued {
    /// The case.
    pub reference: String,
    /// The document's name.
    pub document: String,
    /// From 1.
    pub version: u32,
    /// The date of issue that stands on the document.
    pub date: CivilDate,
    /// When the line was written, in UTC: `2026-11-25T14:05:07Z`.
    pub time: String,
    /// Who issued it.
    pub by: String,
    /// Why it was issued again; none for the first version.
    pub because: Option<String>,
    /// Hash of the case file.
    pub case_sha256: String,
    /// Hash of the clinic file.
    pub clinic_sha256: String,
    /// Hash of the templates.
    pub templates_sha256: String,
    /// The PDF, below the register's folder.
    pub file: String,
    /// Hash of the PDF.
    pub pdf_sha256: String,
    /// Length of the PDF in bytes.
    pub pdf_bytes: u64,
    /// Hash of the plain text beside it.
    pub text_sha256: String,
    /// Length of the plain text in bytes.
    pub text_bytes: u64,
    /// The tool and its version.
    pub tool: String,
    /// Whom it is about, in salted hashes; older versions did not keep them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub identity: Option<Marks>,
    /// Hash of the plan, on a form that is signed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plan_sha256: Option<String>,
}

impl Issued {
    /// Where a version's PDF lies below the register's folder. The reference stands in the name of the file
    /// itself, so that documents of several patients are told apart in any folder.
    pub fn file_name(reference: &str, document: &str, version: u32) -> String {
        format!("{reference}/{reference}-{}-{version}.pdf", document.replace('/', "-"))
    }

    /// It lies where such a document lies; that of an older version of the tool has no reference in the name
    /// of its file.
    pub fn is_in_its_place(&self) -> bool {
        let Issued { reference, document, version, file, .. } = self;
        let older = format!("{reference}/{}-{version}.pdf", document.replace('/', "-"));
        *file == Issued::file_name(reference, document, *version) || *file == older
    }

    /// Where the plain text lies: beside the PDF.
    pub fn text_file(&self) -> String {
        format!("{}.txt", self.file.strip_suffix(".pdf").unwrap_or(&self.file))
    }
}

/// A version of a document went to somebody.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sent {
    /// The case.
    pub reference: String,
    /// The document's name.
    pub document: String,
    /// The version that went.
    pub version: u32,
    /// To whom: `patient`, `guardian`, `gp`, `other`.
    pub to: String,
    /// The day it went.
    pub date: CivilDate,
    /// When the line was written, in UTC.
    pub time: String,
    /// Who sent it, where it was said.
    pub by: Option<String>,
    /// How it went: `post`, `secure-mail`, `by-hand`, `portal`; older versions did not keep it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub how: Option<String>,
    /// The reference of the message or the parcel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub how_reference: Option<String>,
}

/// That something went was entered by mistake. The line that said so stays.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Undone {
    /// The case.
    pub reference: String,
    /// The document's name.
    pub document: String,
    /// The version.
    pub version: u32,
    /// To whom it was said to have gone.
    pub to: String,
    /// The day on which it was said to have gone.
    pub date: CivilDate,
    /// When this line was written, in UTC.
    pub time: String,
    /// Who takes it back, where it was said.
    pub by: Option<String>,
    /// Why.
    pub because: String,
}

/// Why a line is not an entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unreadable {
    /// It is not an entry's JSON at all.
    Shape,
    /// It does not match its own check value.
    Check,
}

#[derive(Serialize, Deserialize)]
struct Body {
    #[serde(flatten)]
    event: Event,
    previous: String,
}

const CHECK: &str = ",\"check\":\"";

/// The line of an event, without the line end. `previous` is the hash of the line before.
pub fn line(event: &Event, previous: &str) -> String {
    let body = Body { event: event.clone(), previous: previous.to_owned() };
    let mut line = serde_json::to_string(&body).expect("an entry holds only strings and numbers");
    line.pop();
    let check = sha256(line.as_bytes());
    format!("{line}{CHECK}{check}\"}}")
}

/// The event of a line and the hash of the line before it.
///
/// # Errors
/// A line that was not written by [`line`], down to the byte.
pub fn parse(line: &str) -> Result<(Event, String), Unreadable> {
    let (body, tail) = line.rsplit_once(CHECK).ok_or(Unreadable::Shape)?;
    let check = tail.strip_suffix("\"}").ok_or(Unreadable::Shape)?;
    if check != sha256(body.as_bytes()) {
        return Err(Unreadable::Check);
    }
    let body: Body = serde_json::from_str(&format!("{body}}}")).map_err(|_| Unreadable::Shape)?;
    Ok((body.event, body.previous))
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::register::BEFORE_THE_FIRST;
    use crate::units::TextValue;

    /// An invented entry.
    pub(crate) fn issued(document: &str, version: u32) -> Issued {
        Issued {
            reference: "LFC-0117".into(),
            document: document.into(),
            version,
            date: CivilDate::parse("2026-11-24").expect("a date"),
            time: "2026-11-24T14:05:07Z".into(),
            by: "R. Quill".into(),
            because: (version > 1).then(|| "the \"batch\" was mistyped".into()),
            case_sha256: sha256(b"case"),
            clinic_sha256: sha256(b"clinic"),
            templates_sha256: sha256(b"templates"),
            file: Issued::file_name("LFC-0117", document, version),
            pdf_sha256: sha256(b"pdf"),
            pdf_bytes: 3,
            text_sha256: sha256(b"text"),
            text_bytes: 4,
            tool: "unguis 0.1.0".into(),
            identity: None,
            plan_sha256: None,
        }
    }

    /// Invented marks of a patient.
    pub(in crate::register) fn marks(family: &str) -> Marks {
        Marks {
            salt: "salt".into(),
            family: family.into(),
            born: "born".into(),
            nhs_number: None,
            chi_number: None,
            hc_number: None,
        }
    }

    /// An invented entry of something sent.
    pub(in crate::register) fn sent(document: &str, version: u32) -> Sent {
        Sent {
            reference: "LFC-0117".into(),
            document: document.into(),
            version,
            to: "gp".into(),
            date: CivilDate::parse("2026-11-25").expect("a date"),
            time: "2026-11-25T09:00:00Z".into(),
            by: None,
            how: None,
            how_reference: None,
        }
    }

    /// An invented entry that takes one back.
    pub(in crate::register) fn undone(document: &str, version: u32) -> Undone {
        let Sent { reference, document, version, to, date, .. } = sent(document, version);
        let time = "2026-11-25T09:05:00Z".into();
        Undone { reference, document, version, to, date, time, by: None, because: "wrong case".into() }
    }

    #[test]
    fn a_line_is_read_as_it_was_written() {
        for event in [
            Event::Issued(issued("gp-letter", 2)),
            Event::Sent(sent("gp-letter", 2)),
            Event::Undone(undone("gp-letter", 2)),
        ] {
            let text = line(&event, BEFORE_THE_FIRST);
            assert!(!text.contains('\n'));
            assert_eq!(parse(&text), Ok((event, BEFORE_THE_FIRST.to_owned())));
        }
        let text = line(&Event::Issued(issued("gp-letter", 1)), BEFORE_THE_FIRST);
        assert!(
            text.starts_with(
                r#"{"event":"issued","reference":"LFC-0117","document":"gp-letter","version":1,"#
            )
        );
        assert_eq!(issued("gp-letter", 1).text_file(), "LFC-0117/LFC-0117-gp-letter-1.txt");
    }

    /// Lines that an older version wrote know nothing of patient and plan; they are read, and written
    /// again to the byte.
    #[test]
    fn a_line_without_patient_and_plan_is_as_it_was() {
        let old = line(&Event::Issued(issued("gp-letter", 1)), BEFORE_THE_FIRST);
        assert!(!old.contains("identity") && !old.contains("plan_sha256"), "{old}");
        let new = Issued {
            identity: Some(marks("f")),
            plan_sha256: Some(sha256(b"plan")),
            ..issued("consent-form", 1)
        };
        let text = line(&Event::Issued(new.clone()), BEFORE_THE_FIRST);
        assert_eq!(parse(&text), Ok((Event::Issued(new), BEFORE_THE_FIRST.to_owned())));
    }

    #[test]
    fn another_line_is_refused() {
        let text = line(&Event::Issued(issued("gp-letter", 1)), BEFORE_THE_FIRST);
        assert_eq!(parse(&text.replace("Quill", "Quell")), Err(Unreadable::Check));
        assert_eq!(parse(&text[..text.len() - 1]), Err(Unreadable::Shape));
        assert_eq!(parse("{}"), Err(Unreadable::Shape));
        assert_eq!(parse(""), Err(Unreadable::Shape));
    }
}
