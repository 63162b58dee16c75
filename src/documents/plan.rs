//! What happens after surgery: visits, healing, pain relief, and what the practice is asked to do.
//! Dates and doses are derived values; here they get their words for a colleague.

use serde::Serialize;

use crate::derive::{Analgesia, Paracetamol, Value, Visit};
use crate::facts::Facts;

/// The plan, ready to print.
#[derive(Debug, Serialize)]
pub(super) struct Plan {
    /// `first redressing due 27-Nov-2026; review due 05-Jan-2027`.
    pub(super) visits: String,
    /// `22-Dec-2026 to 05-Jan-2027 (4 to 6 weeks)`.
    pub(super) healing: String,
    /// What the patient is told about pain relief, a sentence an item.
    pub(super) pain_relief: Vec<String>,
    /// What the practice is asked to do; empty if nothing.
    pub(super) actions: Vec<String>,
}

impl Plan {
    pub(super) fn of(facts: &Facts) -> Plan {
        let derived = &facts.derived;
        let visits = match &derived.next_visits {
            Value::Known(known) => known.value.iter().map(visit_in_words).collect::<Vec<_>>().join("; "),
            unknown @ Value::Unknown(_) => unknown.print(|_| String::new()),
        };
        let healing = derived.expected_healing.print(|healing| {
            format!(
                "{} to {} ({} to {} weeks)",
                healing.from.clinical(),
                healing.to.clinical(),
                healing.weeks_from,
                healing.weeks_to
            )
        });
        let pain_relief = match &derived.analgesia {
            Value::Known(known) => pain_relief(&known.value),
            unknown @ Value::Unknown(_) => vec![format!("Pain relief {}", unknown.print(|_| String::new()))],
        };
        let actions =
            facts.case.follow_up.as_ref().map_or_else(Vec::new, |follow_up| follow_up.gp_actions.clone());
        Plan { visits, healing, pain_relief, actions }
    }
}

/// `first redressing 27-Nov-2026, 10:00`; a day that was worked out is `due`.
fn visit_in_words(visit: &Visit) -> String {
    let at = visit.at.map_or_else(String::new, |at| format!(", {}", at.clinical()));
    let due = if visit.is_booked { "" } else { "due " };
    format!("{} {due}{}{at}", visit.purpose, visit.date.clinical())
}

fn pain_relief(analgesia: &Analgesia) -> Vec<String> {
    let mut lines = vec![match &analgesia.paracetamol {
        Paracetamol::Advise { each, hours_between, doses_in_24_h, most_in_24_h } => format!(
            "Paracetamol {}, at least {hours_between} hours apart, at most {doses_in_24_h} doses and {} in 24 hours.",
            clinical_units(each),
            clinical_units(most_in_24_h)
        ),
        Paracetamol::AskUs(why) => format!("Paracetamol: the patient is told to ask us first ({why})."),
        Paracetamol::Avoid(why) => format!("Paracetamol is not advised ({why})."),
    }];
    lines.push("NSAIDs are not advised.".into());
    if analgesia.no_aspirin_under_16 {
        lines.push("No aspirin under 16 years.".into());
    }
    if analgesia.prescribed_antiplatelet {
        lines.push("Prescribed antiplatelet treatment goes on.".into());
    }
    lines
}

/// Colleagues read `500 mg`, patients `500mg`: the derived value is in the patient's form
/// (`clinical::sources::records`: a space between number and unit in clinical documents).
fn clinical_units(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 4);
    let mut before = ' ';
    for c in text.chars() {
        if before.is_ascii_digit() && c.is_ascii_alphabetic() {
            out.push(' ');
        }
        out.push(c);
        before = c;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doses_for_colleagues_have_a_space() {
        assert_eq!(clinical_units("500mg to 1g"), "500 mg to 1 g");
        assert_eq!(clinical_units("7.5ml of 250mg in 5ml"), "7.5 ml of 250 mg in 5 ml");
    }

    #[test]
    fn what_must_not_be_taken_is_said() {
        let lines = pain_relief(&Analgesia {
            paracetamol: Paracetamol::Avoid("allergy".into()),
            no_nsaid_because: vec!["they can make bleeding more likely".into()],
            no_aspirin_under_16: true,
            prescribed_antiplatelet: false,
        });
        assert_eq!(
            lines,
            [
                "Paracetamol is not advised (allergy).",
                "NSAIDs are not advised.",
                "No aspirin under 16 years.",
            ]
        );
    }
}
