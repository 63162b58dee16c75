//! The case file as typed data. Plain: what was written, nothing worked out, nothing defaulted.
//!
//! The JSON Schema made from these types is also what the reader checks a file against, so a doc
//! comment here is what an editor shows and a key that is not here is an unknown key.

mod answers;
mod assessment;
mod consent;
mod history;
mod operation;
mod patient;
mod plan;
mod visits;

pub use answers::*;
pub use assessment::*;
pub use consent::*;
pub use history::*;
pub use operation::*;
pub use patient::*;
pub use plan::*;
pub use visits::*;

use crate::anatomy::ByToe;
use crate::case::clinic::UsualAgent;
use crate::case::incident::Incident;
use crate::date::CivilDate;
use crate::text_value;
use crate::units::TextValue;
use schemars::JsonSchema;
use serde::Deserialize;
use std::fmt;

/// One patient's nail surgery, from assessment to follow-up.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Case {
    /// The clinic's reference for this case: capitals, digits and hyphens. Names the output folder.
    pub reference: Reference,
    /// Who the patient is.
    pub patient: Patient,
    /// The family doctor: a key of the clinic's address book, or the block itself.
    pub gp: Option<GpEntry>,
    /// Conditions, medicines and allergies.
    pub history: Option<History>,
    /// What the patient came with.
    pub problem: Option<Problem>,
    /// Circulation of both feet.
    pub vascular: Option<Vascular>,
    /// 10 g monofilament sites felt / tested.
    pub sensation: Option<Sensation>,
    /// What is planned, toe by toe.
    pub plan: Option<ByToe<PlannedToe>>,
    /// The anaesthetic that is planned, where it differs from the clinic's protocol: a block, or a key of `supplies`.
    #[schemars(extend("x-or-supply" = true))]
    pub planned_anaesthetic: Option<UsualAgent>,
    /// The appointment for surgery: day, time and room.
    pub booked: Option<Booked>,
    /// The patient's consent.
    pub consent: Option<Consent>,
    /// What was done.
    pub operation: Option<Operation>,
    /// Cautions answered, each with a reason and a name.
    #[serde(default)]
    pub accepted: Vec<Accepted>,
    /// What went wrong, each as it really happened.
    #[serde(default)]
    pub incidents: Vec<Incident>,
    /// Visits and dressing after surgery, where they differ from the clinic's protocol.
    pub follow_up: Option<FollowUp>,
    /// Visits after surgery, in the order in which they were.
    #[serde(default)]
    pub visits: Vec<Visit>,
    /// The end of the course of care.
    pub closed: Option<Closed>,
    /// The earlier case that this one goes on from, with the day of its operation where there was one and it is
    /// known: `LFC-0136` or `LFC-0136 on 2026-01-27`.
    pub follows: Option<Follows>,
    /// Why the documents are issued again.
    pub amendment: Option<String>,
}

impl Case {
    /// The toes that are affected, as assessed; `None` if nobody wrote it down.
    pub fn affected(&self) -> Option<&ByToe<AffectedToe>> {
        self.problem.as_ref()?.toes.as_ref()
    }
}

/// Names that Windows keeps for devices, whatever ending follows. `COM` and `LPT` go on with one digit.
const KEPT_BY_WINDOWS: [&str; 4] = ["CON", "PRN", "AUX", "NUL"];

fn is_kept_by_windows(text: &str) -> bool {
    let port = |name: &str| text.strip_prefix(name).is_some_and(|rest| rest.len() == 1 && rest != "0");
    KEPT_BY_WINDOWS.contains(&text)
        || ["COM", "LPT"]
            .into_iter()
            .any(|name| port(name) && text.ends_with(|end: char| end.is_ascii_digit()))
}

/// The clinic's reference for a case. Safe as a folder name on every system.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Reference(String);

impl Reference {
    /// The reference as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Reference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl TextValue for Reference {
    const FORMAT: &'static str = "case reference";
    const EXAMPLE: &'static str = "LFC-0117";
    fn parse(text: &str) -> Result<Self, String> {
        if is_kept_by_windows(text) {
            return Err(format!("`{text}` cannot be a reference: Windows keeps this name for itself"));
        }
        let is_allowed = |byte: u8| byte.is_ascii_uppercase() || byte.is_ascii_digit() || byte == b'-';
        if (2..=32).contains(&text.len())
            && text.bytes().all(is_allowed)
            && !text.starts_with('-')
            && !text.ends_with('-')
        {
            Ok(Reference(text.to_owned()))
        } else {
            Err(format!(
                "`{text}` cannot be a reference: write 2 to 32 capitals, digits and hyphens, like `LFC-0117`"
            ))
        }
    }
}

text_value!(Reference, "case reference");

/// The earlier case of the same toe: `LFC-0136`, and `LFC-0136 on 2026-01-27` with the day of its operation.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Follows {
    /// Its reference.
    pub reference: Reference,
    /// The day of its operation; `None` where that is not known, or where there was none.
    pub operated: Option<CivilDate>,
}

impl fmt::Display for Follows {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.operated {
            Some(day) => write!(f, "{} on {day}", self.reference),
            None => write!(f, "{}", self.reference),
        }
    }
}

impl TextValue for Follows {
    const FORMAT: &'static str = "earlier case";
    const EXAMPLE: &'static str = "LFC-0136 on 2026-01-27";
    fn parse(text: &str) -> Result<Self, String> {
        let (reference, day) = match text.split_once(" on ") {
            Some((reference, day)) => (reference.trim(), Some(day.trim())),
            None => (text, None),
        };
        let operated = day.map(CivilDate::parse).transpose()?;
        Ok(Follows { reference: Reference::parse(reference)?, operated })
    }
}

text_value!(Follows, "earlier case");
#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reference_can_be_a_folder_everywhere() {
        for good in ["LFC-0117", "CON-1", "CONS", "COM", "COM0", "COM10", "LPT-1"] {
            assert!(Reference::parse(good).is_ok(), "{good}");
        }
        for kept in ["CON", "PRN", "AUX", "NUL", "COM1", "COM9", "LPT3"] {
            assert!(Reference::parse(kept).is_err_and(|says| says.contains("Windows")), "{kept}");
        }
    }
}
