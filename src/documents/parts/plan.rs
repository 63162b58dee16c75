//! What happens after surgery: visits, healing, pain relief, and what the practice is asked to do.
//! Dates and doses are derived values; here they get their words for a colleague.

use serde::Serialize;

use super::actions::Actions;
use super::unknown::print;
use crate::date::{CivilDate, TimeOfDay};
use crate::derive::{Analgesia, Nsaid, Paracetamol, PlannedVisit, Value};
use crate::facts::Facts;
use crate::words::capitalised;

/// The plan, ready to print. The sentences stand in `templates/clinician/`.
#[derive(Debug, Serialize)]
pub(in crate::documents) struct Plan {
    /// In their order; the first begins with a capital. Empty if they are not known.
    visits: Vec<VisitView>,
    /// Why the visits are not known.
    visits_unknown: String,
    pub(in crate::documents) healing: HealingView,
    pub(in crate::documents) pain_relief: PainRelief,
    /// What the practice is asked to do.
    pub(in crate::documents) actions: Actions,
}

/// `First redressing`, `due` unless it is booked.
#[derive(Debug, Serialize)]
struct VisitView {
    purpose: String,
    is_booked: bool,
    /// Its day lies before that of the page. Whether the patient came, the plan does not say.
    is_past: bool,
    date: String,
    at: String,
}

/// `22-Dec-2026 to 05-Jan-2027 (4 to 6 weeks)`, in its parts.
#[derive(Debug, Default, Serialize)]
pub(in crate::documents) struct HealingView {
    is_known: bool,
    /// All of it lies before the day of the page.
    is_past: bool,
    from: String,
    to: String,
    weeks_from: String,
    weeks_to: String,
    /// Why it is not known.
    unknown: String,
}

/// What the patient is told about pain relief.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one phrase that stands or does not")]
pub(in crate::documents) struct PainRelief {
    /// Paracetamol may be advised, as the doses below say.
    may_take: bool,
    each: String,
    hours_between: String,
    doses: String,
    most: String,
    /// Why the patient is told to ask the clinic first; empty otherwise.
    ask_us: String,
    /// Why paracetamol is not advised; empty otherwise.
    avoid: String,
    /// Something speaks against an anti-inflammatory.
    nsaid_not_advised: bool,
    /// The clinic lets patients take ibuprofen, and nothing speaks against it.
    nsaid_may_take: bool,
    /// Why no anti-inflammatory: `clinic policy: may bleed more, takes apixaban`.
    nsaid_because: String,
    no_aspirin: bool,
    antiplatelet_goes_on: bool,
    /// What was agreed with the patient, as typed; empty if nothing is recorded.
    agreed: String,
    /// Why nothing is known; empty otherwise.
    unknown: String,
}

impl Plan {
    /// As a page that is made on that day says it.
    pub(in crate::documents) fn of(facts: &Facts, made_on: CivilDate) -> Plan {
        let derived = &facts.derived;
        let (visits, visits_unknown) = match &derived.next_visits {
            Value::Known(known) => (visits(&known.value, made_on), String::new()),
            unknown @ Value::Unknown(_) => (Vec::new(), print(unknown, |_| String::new())),
        };
        let healing = match &derived.expected_healing {
            Value::Known(known) => HealingView {
                is_known: true,
                is_past: known.value.to < made_on,
                from: known.value.from.clinical(),
                to: known.value.to.clinical(),
                weeks_from: known.value.weeks_from.to_string(),
                weeks_to: known.value.weeks_to.to_string(),
                unknown: String::new(),
            },
            unknown @ Value::Unknown(_) => {
                HealingView { unknown: print(unknown, |_| String::new()), ..HealingView::default() }
            }
        };
        let pain_relief = match &derived.analgesia {
            Value::Known(known) => PainRelief::of(&known.value),
            unknown @ Value::Unknown(_) => {
                PainRelief { unknown: print(unknown, |_| String::new()), ..PainRelief::default() }
            }
        };
        let agreed = facts.case.follow_up.as_ref().and_then(|follow_up| follow_up.pain_relief.as_deref());
        let agreed = crate::documents::page::without_stop(agreed.unwrap_or_default()).to_owned();
        let pain_relief = PainRelief { agreed, ..pain_relief };
        Plan { visits, visits_unknown, healing, pain_relief, actions: Actions::of(facts) }
    }
}

fn visits(visits: &[PlannedVisit], made_on: CivilDate) -> Vec<VisitView> {
    let each = visits.iter().enumerate().map(|(at, visit)| VisitView {
        purpose: if at == 0 { capitalised(&visit.purpose) } else { visit.purpose.clone() },
        is_booked: visit.is_booked,
        is_past: visit.date < made_on,
        date: visit.date.clinical(),
        at: visit.at.map_or_else(String::new, TimeOfDay::clinical),
    });
    each.collect()
}

impl PainRelief {
    fn of(analgesia: &Analgesia) -> PainRelief {
        let base = PainRelief {
            nsaid_not_advised: analgesia.nsaid == Nsaid::NotAdvised,
            nsaid_may_take: analgesia.nsaid == Nsaid::MayTake,
            nsaid_because: nsaid_because(analgesia),
            no_aspirin: analgesia.no_aspirin_under_16,
            antiplatelet_goes_on: analgesia.prescribed_antiplatelet,
            ..PainRelief::default()
        };
        match &analgesia.paracetamol {
            Paracetamol::Advise { each, hours_between, doses_in_24_h, most_in_24_h, .. } => PainRelief {
                may_take: true,
                each: clinical_units(each),
                hours_between: hours_between.to_string(),
                doses: doses_in_24_h.to_string(),
                most: clinical_units(most_in_24_h),
                ..base
            },
            Paracetamol::AskUs(why) => PainRelief { ask_us: why.to_string(), ..base },
            Paracetamol::Avoid(why) => PainRelief { avoid: why.to_string(), ..base },
        }
    }
}

/// The first reasons are enough for colleagues.
const MOST_REASONS: usize = 3;

fn nsaid_because(analgesia: &Analgesia) -> String {
    let reasons = analgesia.no_nsaid_because.iter().take(MOST_REASONS).map(ToString::to_string);
    reasons.collect::<Vec<_>>().join(", ")
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
    use crate::rules::example::facts_of;
    use crate::units::TextValue as _;

    #[test]
    fn doses_for_colleagues_have_a_space() {
        assert_eq!(clinical_units("500mg to 1g"), "500 mg to 1 g");
        assert_eq!(clinical_units("7.5ml of 250mg in 5ml"), "7.5 ml of 250 mg in 5 ml");
    }

    #[test]
    fn paracetamol_is_advised_or_asked_about_or_avoided() {
        let said = |fragment: &str| {
            let facts = facts_of(fragment);
            Plan::of(&facts, facts.today).pain_relief
        };
        let may = said("");
        assert!(may.may_take && may.ask_us.is_empty() && may.avoid.is_empty(), "{may:?}");
        assert_eq!((may.each.as_str(), may.most.as_str()), ("500 mg to 1 g", "4 g"));
        let allergic = said("history: {allergies: [{to: paracetamol}]}");
        assert!(!allergic.may_take && !allergic.avoid.is_empty() && allergic.each.is_empty(), "{allergic:?}");
        let unclear = said("history: {allergies: ~}");
        assert!(!unclear.may_take && !unclear.ask_us.is_empty(), "{unclear:?}");
        assert!(said("patient: {born: 2011-11-25, height: ~}").no_aspirin);
        assert!(said("history: {medicines: [aspirin]}").antiplatelet_goes_on);
    }

    #[test]
    fn what_was_to_come_before_the_day_of_the_page_is_past() {
        let facts = facts_of("follow_up: {first_redressing: 2026-11-27}");
        let on = |day: &str| Plan::of(&facts, CivilDate::parse(day).expect("a literal date"));
        let past = |day: &str| {
            let plan = on(day);
            (plan.visits.iter().map(|visit| visit.is_past).collect::<Vec<_>>(), plan.healing.is_past)
        };
        assert_eq!(past("2026-11-27"), (vec![false, false], false), "on its day it is still to come");
        assert_eq!(past("2026-11-28"), (vec![true, false], false));
        assert_eq!(past("2027-01-06"), (vec![true, true], false), "review on the 5th");
        assert_eq!(past("2027-01-19"), (vec![true, true], false), "the last day of healing");
        assert_eq!(past("2027-01-20"), (vec![true, true], true));
    }
}
