//! One line of `show` for each derived value: its printed form, unit, working and source.
//!
//! Nothing is worked out here, and no document prints these lines.

use std::fmt;

use rust_decimal::Decimal;

use super::dose::share_in_percent;
use super::{
    AgentDose, Allowance, Analgesia, Answer, Banded, Code, Derived, Fact, FootRisk, Hba1cBoth, Healing,
    HealingWeeks, Nsaid, Paracetamol, PlannedVisit, Value,
};
use super::{course_shown, stated_shown};
use crate::anatomy::Side;
use crate::clinical::tables;
use crate::clinical::thresholds::Threshold;
use crate::words::List;

/// One line of `show`.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Shown {
    /// The name, as in the design: `anaesthetic_dose.mepivacaine`.
    pub name: String,
    /// The printed value without its unit; `None` if not known.
    pub value: Option<String>,
    /// Its unit, where it has one.
    pub unit: Option<String>,
    /// The sum as a person would write it.
    pub working: Option<String>,
    /// Where the method comes from.
    pub source: Option<String>,
    /// Why it is not known.
    pub missing: Option<String>,
}

/// One line: `unit` is empty where the value has none or prints its own.
pub(super) fn row<T>(
    name: impl Into<String>,
    value: &Value<T>,
    unit: &str,
    print: impl Fn(&T) -> String,
) -> Shown {
    let entry = value.entry();
    let has_unit = entry.is_some() && !unit.is_empty();
    Shown {
        name: name.into(),
        value: entry.map(|known| print(&known.value)),
        unit: has_unit.then(|| unit.to_owned()),
        working: entry.map(|known| known.working.clone()).filter(|working| !working.is_empty()),
        source: entry.map(|known| known.source.to_string()),
        missing: value.unknown().map(ToString::to_string),
    }
}

/// A number without trailing zeros.
fn plain(number: Decimal) -> String {
    number.normalize().to_string()
}

/// Everything that was worked out, for `show`, in the order of the design.
pub fn shown(derived: &Derived) -> Vec<Shown> {
    let mut rows = vec![
        row("age", &derived.age, "", |age| age.clinical()),
        row("decision_maker", &derived.decision_maker, "", ToString::to_string),
        row("nhs_number", &derived.nhs_number, "", String::clone),
        row("ideal_body_weight", &derived.ideal_body_weight, "kg", |mass| plain(mass.0)),
        row("dosing_weight", &derived.dosing_weight, "kg", |mass| plain(mass.0)),
    ];
    // Of the other nations' numbers, those that are recorded.
    let others = derived.patient_numbers.iter().filter(|one| one.key != "nhs_number");
    let others: Vec<Shown> = others.map(|one| row(one.key, &one.number, "", String::clone)).collect();
    rows.splice(3..3, others);
    rows.push(row("anaesthetic_allowance", &derived.anaesthetic_allowance, "", ToString::to_string));
    for agent in &derived.agents {
        let named = |value: &str| format!("{value}.{}", agent.agent);
        rows.push(row(named("anaesthetic_dose"), &agent.dose, "mg", |dose| plain(dose.0)));
        rows.push(limit(derived, agent, named("anaesthetic_limit")));
        rows.extend(replaced_limit(agent));
    }
    rows.push(row("anaesthetic_share", &derived.anaesthetic_share, "", |share| share_in_percent(*share)));
    for agent in &derived.agents {
        let name = format!("anaesthetic_room.{}", agent.agent);
        rows.push(row(name, &agent.room, "ml", |room| plain(room.0)));
    }
    rows.push(row("numb_planned", &derived.numb_planned, "", ToString::to_string));
    rows.push(row("numb_given", &derived.numb_given, "", ToString::to_string));
    rows.push(row("next_anaesthetic", &derived.next_anaesthetic_hours, "h", u32::to_string));
    for (toe, times) in &derived.toes {
        let named = |value: &str| format!("{value}.{toe}");
        rows.push(row(named("numb_from"), &times.numb_from, "", |time| time.clinical()));
        rows.push(row(named("tourniquet_minutes"), &times.tourniquet_minutes, "min", i64::to_string));
        rows.push(row(named("phenol_seconds"), &times.phenol_seconds, "s", |seconds| plain(*seconds)));
    }
    for side in Side::BOTH {
        let circulation = derived.circulation.get(side);
        let named = |value: &str| format!("{value}.{}", side.word());
        rows.push(row(named("abpi"), &circulation.abpi, "", |index| index.to_string()));
        rows.push(row(named("tbpi"), &circulation.tbpi, "", |index| index.to_string()));
    }
    rows.push(row("hba1c", &derived.hba1c, "", ToString::to_string));
    for (name, fact) in [
        ("diabetes", &derived.diabetes),
        ("pregnancy", &derived.pregnancy),
        ("breastfeeding", &derived.breastfeeding),
        ("smoking", &derived.smoking),
        ("frailty", &derived.frailty),
        ("epilepsy", &derived.epilepsy),
        ("weak_immunity", &derived.weak_immunity),
    ] {
        rows.push(of_fact(name, fact));
    }
    for side in Side::BOTH {
        let named = |value: &str| format!("{value}.{}", side.word());
        rows.push(of_fact(&named("poor_circulation"), derived.poor_circulation.get(side)));
        rows.push(of_fact(&named("reduced_feeling"), derived.reduced_feeling.get(side)));
    }
    rows.push(of_fact("vasospasm", &derived.vasospasm));
    rows.push(foot_risk(&derived.foot_risk));
    rows.extend(stated_shown::routine_rows(&derived.routine));
    rows.push(row("operation_minutes", &derived.operation_minutes, "min", i64::to_string));
    rows.extend(course_shown::rows(&derived.course));
    rows.push(row("next_visits", &derived.next_visits, "", |visits| List::and(visits).to_string()));
    rows.push(row("planned_healing", &derived.planned_healing, "", ToString::to_string));
    rows.push(row("expected_healing", &derived.expected_healing, "", ToString::to_string));
    rows.push(row("analgesia", &derived.analgesia, "", ToString::to_string));
    rows.push(row("codes", &derived.codes, "", |codes| List::and(codes).to_string()));
    rows
}

/// A limit; its working says what else was published and not used, so that nobody finds it by surprise.
fn limit(derived: &Derived, agent: &AgentDose, name: String) -> Shown {
    let mut shown = row(name, &agent.limit, "mg", |limit| plain(limit.0));
    let adult_from = Threshold::AdultDoseFrom.whole();
    let is_adult = derived.age.get().is_some_and(|age| age.years >= adult_from);
    let others = tables::agent(&agent.agent).filter(|_| is_adult).into_iter().flat_map(|row| &row.disagree);
    if let Some(working) = &mut shown.working {
        for other in others {
            working.push_str(&format!("; not used: {} ({})", other.says, other.source));
        }
    }
    shown
}

/// A fact: `yes` with what it is known from and why the first of it counts, `no`, or that nobody knows.
fn of_fact(name: &str, fact: &Fact) -> Shown {
    let value = match fact.answer {
        Answer::Yes => Some("yes".to_owned()),
        Answer::No => Some("no".to_owned()),
        Answer::NotKnown => None,
    };
    let because = fact.because();
    Shown {
        name: name.to_owned(),
        missing: value.is_none().then(|| "not recorded".to_owned()),
        value,
        unit: None,
        working: (!because.is_empty()).then_some(because),
        source: fact.reasons.first().map(|reason| reason.source.to_string()),
    }
}

/// The tool's own limit beside the clinic's that replaces it, with the clinic's reason.
fn replaced_limit(agent: &AgentDose) -> Option<Shown> {
    let (default, because) = agent.replaced_limit.as_ref()?;
    let name = format!("anaesthetic_default_limit.{}", agent.agent);
    let mut shown = row(name, default, "mg", |limit| plain(limit.0));
    add_to_working(&mut shown, &format!("replaced by the clinic's own limit: {because}"));
    Some(shown)
}

/// The tier with what the pathway says of it.
fn foot_risk(value: &Value<FootRisk>) -> Shown {
    let mut shown = row("foot_risk", value, "", |tier| tier.word().to_owned());
    if let Some(risk) = value.get() {
        let tier = risk.tier();
        let first = tier.first_seen.map_or_else(String::new, |first| format!("first seen {first}, "));
        let says =
            format!("{} by the pathway: {}; {first}reviewed {}", risk.word(), tier.criteria, tier.review);
        add_to_working(&mut shown, &says);
    }
    shown
}

fn add_to_working(shown: &mut Shown, more: &str) {
    shown.working = Some(match shown.working.take() {
        Some(working) => format!("{working}; {more}"),
        None => more.to_owned(),
    });
}

/// `9.9 ml of mepivacaine 3 %`.
impl fmt::Display for Allowance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} of {} {}", self.volume, self.agent, self.strength)
    }
}

/// `0.91, borderline`.
impl fmt::Display for Banded {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {}", self.index, self.band.word())
    }
}

/// `58 mmol/mol (7.5 %)`.
impl fmt::Display for Hba1cBoth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mmol/mol ({} %)", self.mmol_per_mol, self.percent)
    }
}

/// `first redressing 27-Nov-2026 09:30 (booked)`.
impl fmt::Display for PlannedVisit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.purpose, self.date.clinical())?;
        if let Some(at) = self.at {
            write!(f, " {at}")?;
        }
        if self.is_booked { f.write_str(" (booked)") } else { Ok(()) }
    }
}

/// `4 to 8 weeks`.
impl fmt::Display for HealingWeeks {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} to {} weeks", self.weeks_from, self.weeks_to)
    }
}

/// `4 to 8 weeks, 22-Dec-2026 to 19-Jan-2027`.
impl fmt::Display for Healing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Healing { weeks_from, weeks_to, from, to } = self;
        write!(f, "{weeks_from} to {weeks_to} weeks, {} to {}", from.clinical(), to.clinical())
    }
}

/// The advice in one line; documents word their own.
impl fmt::Display for Analgesia {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.paracetamol {
            Paracetamol::Advise { each, hours_between, doses_in_24_h, most_in_24_h, .. } => write!(
                f,
                "paracetamol {each}, at least {hours_between} hours apart, at most {doses_in_24_h} doses and \
                 {most_in_24_h} in 24 hours"
            )?,
            Paracetamol::AskUs(reason) => write!(f, "paracetamol only after asking us: {reason}")?,
            Paracetamol::Avoid(reason) => write!(f, "no paracetamol: {reason}")?,
        }
        let reasons: Vec<String> = self.no_nsaid_because.iter().map(ToString::to_string).collect();
        match self.nsaid {
            Nsaid::NotAdvised => write!(f, "; no ibuprofen or the like: {}", reasons.join("; "))?,
            Nsaid::AskUs => f.write_str("; ibuprofen or the like only after asking us")?,
            Nsaid::MayTake => f.write_str("; ibuprofen as the packet says")?,
        }
        if self.no_aspirin_under_16 {
            f.write_str("; no aspirin under 16 unless prescribed")?;
        }
        if self.prescribed_antiplatelet {
            f.write_str("; the prescribed antiplatelet is not stopped")?;
        }
        Ok(())
    }
}

/// `OPCS-4 S64.2 Excision of nail bed`.
impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} {}", self.system, self.code, self.title)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn every_value_has_a_line_in_the_order_of_the_design() {
        let names: Vec<String> = shown(&facts_of("").derived).into_iter().map(|row| row.name).collect();
        assert_eq!(
            names,
            [
                "age",
                "decision_maker",
                "nhs_number",
                "ideal_body_weight",
                "dosing_weight",
                "anaesthetic_allowance",
                "anaesthetic_dose.mepivacaine",
                "anaesthetic_limit.mepivacaine",
                "anaesthetic_share",
                "anaesthetic_room.mepivacaine",
                "numb_planned",
                "numb_given",
                "next_anaesthetic",
                "numb_from.L1",
                "tourniquet_minutes.L1",
                "phenol_seconds.L1",
                "abpi.right",
                "tbpi.right",
                "abpi.left",
                "tbpi.left",
                "hba1c",
                "diabetes",
                "pregnancy",
                "breastfeeding",
                "smoking",
                "frailty",
                "epilepsy",
                "weak_immunity",
                "poor_circulation.right",
                "reduced_feeling.right",
                "poor_circulation.left",
                "reduced_feeling.left",
                "vasospasm",
                "foot_risk",
                "routine.skin_preparation",
                "routine.dressing",
                "operation_minutes",
                "stage",
                "next_visit",
                "days_to_healing.L1",
                "infection.L1",
                "regrowth.L1",
                "next_visits",
                "planned_healing",
                "expected_healing",
                "analgesia",
                "codes",
            ]
        );
    }

    #[test]
    fn a_line_has_a_value_or_says_what_is_missing() {
        let line = |fragment: &str| {
            let rows = shown(&facts_of(fragment).derived);
            rows.into_iter()
                .find(|row| row.name == "anaesthetic_limit.mepivacaine")
                .expect("the line is there")
        };
        let known = line("");
        assert_eq!((known.value.as_deref(), known.unit.as_deref()), (Some("299"), Some("mg")));
        assert!(known.source.is_some() && known.missing.is_none());
        let unknown = line("patient: {weight: ~}");
        assert_eq!((unknown.value, unknown.unit, unknown.source), (None, None, None));
        assert_eq!(unknown.missing.as_deref(), Some("patient.weight missing"));
    }

    #[test]
    fn a_limit_of_an_adult_says_what_else_was_published() {
        let working = |fragment: &str| {
            let rows = shown(&facts_of(fragment).derived);
            let limit = rows.into_iter().find(|row| row.name.starts_with("anaesthetic_limit."));
            limit.expect("the line is there").working.unwrap_or_default()
        };
        assert!(
            working("").contains("; not used: 6 mg/kg in 24 h and 132 mg for each digit, in chiropody (")
        );
        assert!(!working("patient: {born: 2008-11-25}").contains("not used"), "a child has its own limit");
        let lidocaine = "operation: {anaesthetic: {agent: lidocaine, strength: 2 %}}";
        assert!(working(lidocaine).contains("; not used: 4.5 mg/kg and 200 mg ("));
        assert!(!working("patient: {weight: ~}").contains("not used"), "nothing is known");
    }

    #[test]
    fn a_fact_says_what_it_is_known_from() {
        let poor = named("vascular: {left: {toe: 25}}", "poor_circulation.left").expect("there is a line");
        assert_eq!(poor.value.as_deref(), Some("yes"));
        assert_eq!(poor.working.as_deref(), Some("left TBPI 0.19, abnormal; left toe pressure 25 mmHg"));
        assert!(poor.source.is_some());
        let none = named("history: {pregnant: ~}", "pregnancy").expect("there is a line");
        assert_eq!((none.value, none.missing.as_deref()), (None, Some("not recorded")));
    }

    fn named(fragment: &str, name: &str) -> Option<Shown> {
        shown(&facts_of(fragment).derived).into_iter().find(|row| row.name == name)
    }

    #[test]
    fn our_own_limit_stands_beside_a_clinics() {
        let name = "anaesthetic_default_limit.mepivacaine";
        let clinic = "clinic: {limits: {anaesthetic: {mepivacaine: \
                      {per_kg: 4 mg/kg, max: 300 mg, because: audit of 2025}}}}";
        let default = named(clinic, name).expect("the limit was replaced");
        assert_eq!((default.value.as_deref(), default.unit.as_deref()), (Some("299"), Some("mg")));
        assert_eq!(
            default.working.as_deref(),
            Some(
                "4.4 mg/kg × 68 kg = 299 mg, rounded down, below the maximum of 300 mg; \
                 replaced by the clinic's own limit: audit of 2025"
            )
        );
        assert!(default.source.is_some_and(|source| source.starts_with("Mepivacaine 3 % plain")));
        let used = named(clinic, "anaesthetic_limit.mepivacaine").expect("there is a limit");
        assert_eq!(used.value.as_deref(), Some("272"));
        assert_eq!(named("", name), None, "nothing was replaced");
    }

    #[test]
    fn a_tier_says_how_often_such_a_foot_is_seen() {
        let working = |rest: &str| {
            let fragment = format!("{{history: {{diabetes: {{type: 2}}, foot: []}}, {rest}}}");
            named(&fragment, "foot_risk").and_then(|row| row.working)
        };
        assert_eq!(
            working("").as_deref(),
            Some(
                "no risk factor recorded; low by the pathway: no risk factor, or callus alone; \
                 reviewed every year"
            )
        );
        assert_eq!(
            working("sensation: {left: 8/10}").as_deref(),
            Some(
                "reduced sensation; moderate by the pathway: reduced sensation, poor circulation or \
                 deformity; first seen within 6 to 8 weeks, reviewed every 3 to 6 months"
            )
        );
        assert_eq!(working("sensation: ~"), None);
    }
}
