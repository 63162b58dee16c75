//! What makes a toe bleed for longer: medicines, disorders, and how far warfarin works.

use rust_decimal::Decimal;

use super::fact::{conditions, medicines};
use super::{Given, LookedUp, Reason};
use crate::clinical::Cite;
use crate::clinical::sources::advice;
use crate::clinical::tables::Class;
use crate::clinical::thresholds::Threshold;
use crate::date::CivilDate;

/// Classes of the table of medicines.
const ANTICOAGULANT: Class = Class::Anticoagulant;
const ANTIPLATELET: Class = Class::Antiplatelet;
/// Warfarin and its kin, whose effect is measured as INR.
const VITAMIN_K_ANTAGONIST: Class = Class::VitaminKAntagonist;
/// Of the table of conditions.
const DISORDER: Class = Class::BleedingDisorder;

const THINNERS: Cite = Cite::adapts(
    &advice::DOAC_SKIN,
    "BSDS 2016 guidance",
    "the guidance is on skin surgery; the medicines are grouped by the tables",
);
const PLATELETS: Cite = Cite::adapts(
    &advice::ANTICOAGULANT_SKIN,
    "do not stop aspirin",
    "the source says so of aspirin and skin surgery; the other antiplatelets are grouped with it",
);
const DISORDERS: Cite = Cite::common_practice();

/// What makes a toe bleed for longer.
#[derive(Debug, Clone, PartialEq)]
pub struct BleedingRisk {
    /// Each anticoagulant that is taken.
    pub anticoagulants: Vec<Reason>,
    /// Those of them whose effect is measured as INR.
    pub vitamin_k_antagonists: Vec<Reason>,
    /// Each antiplatelet.
    pub antiplatelets: Vec<Reason>,
    /// Each disorder in which blood clots badly.
    pub disorders: Vec<Reason>,
    /// The last INR.
    pub inr: Option<InrResult>,
}

impl BleedingRisk {
    /// A toe is pressed for longer, and the clinic is called sooner.
    pub fn is_raised(&self) -> bool {
        !self.anticoagulants.is_empty() || !self.disorders.is_empty()
    }
}

/// An INR, how it is judged, and how old it was on the day that counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InrResult {
    /// The value.
    pub value: Decimal,
    /// When it was taken.
    pub tested: CivilDate,
    /// How it is judged.
    pub band: InrBand,
    /// Days from the test to surgery, or to today before surgery; negative after it.
    pub days: i64,
    /// How far its age is to be minded.
    pub age: InrAge,
}

/// What an INR says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InrBand {
    /// Nothing against surgery of this size.
    Usual,
    /// Surgery is weighed up.
    Raised,
    /// Surgery is put off.
    TooHigh,
}

/// What the age of an INR says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InrAge {
    /// It speaks for the day.
    Fresh,
    /// It speaks for the day if the INR has been stable.
    IfStable,
    /// It does not.
    Old,
}

/// What makes this patient bleed.
pub(super) fn bleeding_risk_of(given: Given<'_>, taken: &[LookedUp], list: &[LookedUp]) -> BleedingRisk {
    let inr = given.case.history.as_ref().and_then(|history| history.inr.get());
    BleedingRisk {
        anticoagulants: medicines(taken, ANTICOAGULANT, THINNERS),
        vitamin_k_antagonists: medicines(taken, VITAMIN_K_ANTAGONIST, THINNERS),
        antiplatelets: medicines(taken, ANTIPLATELET, PLATELETS),
        disorders: conditions(list, DISORDER, DISORDERS),
        inr: inr.map(|inr| {
            let days = inr.tested.days_until(given.day());
            InrResult { value: inr.value, tested: inr.tested, band: band(inr.value), days, age: age(days) }
        }),
    }
}

fn band(value: Decimal) -> InrBand {
    if value >= Threshold::InrTooHighFrom.number() {
        InrBand::TooHigh
    } else if value > Threshold::InrRaisedOver.number() {
        InrBand::Raised
    } else {
        InrBand::Usual
    }
}

fn age(days: i64) -> InrAge {
    if days > i64::from(Threshold::InrOldAfter.whole()) {
        InrAge::Old
    } else if days > i64::from(Threshold::InrNotedAfter.whole()) {
        InrAge::IfStable
    } else {
        InrAge::Fresh
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::fact::names_of;
    use crate::rules::example::facts_of;

    fn of(history: &str) -> BleedingRisk {
        facts_of(&format!("history: {{{history}}}")).derived.bleeding_risk
    }

    #[test]
    fn each_medicine_is_named_by_the_table_and_found_by_its_place() {
        let risk = of(
            "medicines: [aspirin, {name: Warferin, dose: 3 mg}, Apixaban 5 mg bd], conditions: [haemophilia]",
        );
        assert_eq!(names_of(&risk.anticoagulants, ", "), "warfarin, apixaban");
        assert_eq!(risk.anticoagulants[0].says, "takes Warferin (warfarin)");
        assert_eq!(risk.anticoagulants[0].path.to_string(), "history.medicines[1]");
        assert_eq!(names_of(&risk.vitamin_k_antagonists, ", "), "warfarin");
        assert_eq!(names_of(&risk.antiplatelets, ", "), "aspirin");
        assert_eq!(names_of(&risk.disorders, ", "), "haemophilia");
        assert!(risk.is_raised() && !of("medicines: [aspirin]").is_raised());
    }

    #[test]
    fn the_bands_of_an_inr_meet_at_their_limits() {
        let band = |value: &str| {
            of(&format!("inr: {{value: \"{value}\", tested: 2026-11-23}}")).inr.expect("recorded").band
        };
        assert_eq!(band("3.5"), InrBand::Usual);
        assert_eq!(band("3.51"), InrBand::Raised);
        assert_eq!(band("3.99"), InrBand::Raised);
        assert_eq!(band("4.0"), InrBand::TooHigh);
    }

    #[test]
    fn its_age_is_counted_to_the_day_of_surgery() {
        let age = |tested: &str| {
            of(&format!("inr: {{value: \"2.5\", tested: {tested}}}")).inr.expect("recorded").age
        };
        assert_eq!(age("2026-11-23"), InrAge::Fresh);
        assert_eq!(age("2026-11-22"), InrAge::IfStable);
        assert_eq!(age("2026-11-21"), InrAge::IfStable);
        assert_eq!(age("2026-11-20"), InrAge::Old);
    }
}
