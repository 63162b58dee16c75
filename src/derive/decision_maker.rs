//! Who decides about the operation, by age and by the law of the clinic's nation.
//!
//! The form takes its variant from here and the rules their findings, so that no form is printed that
//! a rule calls void. Whether somebody understands, or should decide so, is for people.

use std::fmt;

use super::{Given, Value};
use crate::case::ConsentBy;
use crate::clinical::thresholds::Threshold;
use crate::clinical::{Cite, sources::consent as law};
use crate::date::{Age, CivilDate};
use crate::nation::Division;

/// Who decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Decider {
    /// An adult, for themselves.
    Adult,
    /// A young person of 16 or 17, for themselves.
    YoungPerson,
    /// A child under 16 who understands, for themselves.
    Child,
    /// Somebody with parental responsibility.
    Parent,
    /// An attorney with power over health.
    Attorney,
    /// A deputy whom the court appointed.
    Deputy,
    /// A welfare guardian whom a court in Scotland appointed.
    WelfareGuardian,
    /// Nobody consents: it is done in the patient's best interests.
    BestInterests,
    /// Nobody consents: a certificate of incapacity gives authority, in Scotland.
    Certificate,
}

impl Decider {
    /// The patient decides.
    pub fn is_patient(self) -> bool {
        matches!(self, Decider::Adult | Decider::YoungPerson | Decider::Child)
    }

    /// Somebody with a power given by the patient or by a court decides.
    pub fn has_authority(self) -> bool {
        matches!(self, Decider::Attorney | Decider::Deputy | Decider::WelfareGuardian)
    }
}

impl fmt::Display for Decider {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Decider::Adult => "the patient, an adult",
            Decider::YoungPerson => "the patient, a young person of 16 or 17",
            Decider::Child => "the patient, a child under 16 who understands",
            Decider::Parent => "somebody with parental responsibility",
            Decider::Attorney => "an attorney with power over health",
            Decider::Deputy => "a deputy of the court with power over health",
            Decider::WelfareGuardian => "a welfare guardian",
            Decider::BestInterests => "nobody consents: best interests",
            Decider::Certificate => "nobody consents: certificate of incapacity",
        })
    }
}

/// Why what is recorded cannot be, by the law of the nation. The decider beside it is the one whom the
/// law names instead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unlawful {
    /// A guardian for a patient who is too old for one.
    GuardianOfAdult,
    /// A guardian for a young person of whom no lack of capacity is recorded.
    GuardianOfCapable,
    /// There is no such person in the law of this nation.
    NotInThisNation,
    /// The patient is too young for such a power.
    TooYoung,
}

/// Who decides, and on what ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DecisionMaker {
    /// Who.
    pub decider: Decider,
    /// The patient's age on the day that counts: of signing, else of surgery, else today.
    pub age: Age,
    /// The nation whose law it is.
    pub nation: Division,
    /// What is recorded cannot be.
    pub unlawful: Option<Unlawful>,
    /// The guardian may be told: they decide, or the patient agreed.
    pub guardian_may_be_told: bool,
}

impl DecisionMaker {
    /// The patient is under 16 on the day that counts.
    pub fn is_child(&self) -> bool {
        self.age.years < Threshold::YoungPerson.whole()
    }
}

impl fmt::Display for DecisionMaker {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.decider)
    }
}

/// Completed years until which somebody may hold parental responsibility.
fn parents_until(nation: Division) -> u32 {
    match nation {
        Division::EnglandAndWales | Division::NorthernIreland => Threshold::Adult.whole(),
        Division::Scotland => Threshold::YoungPerson.whole(),
    }
}

/// The day whose age counts: of signing; before that, of surgery, and today while there is none.
fn decision_day(given: Given<'_>) -> CivilDate {
    given.case.consent.as_ref().and_then(|consent| consent.signed).unwrap_or_else(|| given.day())
}

pub(super) fn decision_maker_of(given: Given<'_>) -> Value<DecisionMaker> {
    let day = decision_day(given);
    let born = given.case.patient.born;
    let Some(age) = Age::on(born, day) else {
        return Value::because(format!(
            "the date of birth, {}, is after {}",
            born.clinical(),
            day.clinical()
        ));
    };
    let nation = given.clinic.division;
    let consent = given.case.consent.as_ref();
    let by = consent.and_then(|consent| consent.by);
    let lacks_capacity =
        consent.and_then(|consent| consent.capacity.as_ref()).is_some_and(|text| !text.trim().is_empty());
    let (decider, unlawful) = decide(nation, age.years, by, lacks_capacity);
    let agreed = given.case.patient.guardian.as_ref().and_then(|guardian| guardian.may_be_told);
    let decides_for_a_child = decider == Decider::Parent
        || (decider == Decider::BestInterests && age.years < Threshold::YoungPerson.whole());
    let guardian_may_be_told = agreed.unwrap_or(decides_for_a_child);
    let maker = DecisionMaker { decider, age, nation, unlawful, guardian_may_be_told };
    let on = match consent.and_then(|consent| consent.signed) {
        Some(_) => "when it was signed",
        None => "on the day",
    };
    Value::known(
        maker,
        format!("aged {} {on}, {}", age.clinical(), nation_in_words(nation)),
        cite(decider, nation),
    )
}

fn nation_in_words(nation: Division) -> &'static str {
    match nation {
        Division::EnglandAndWales => "England and Wales",
        Division::Scotland => "Scotland",
        Division::NorthernIreland => "Northern Ireland",
    }
}

/// The decider whom the law names for what is recorded. `lacks_capacity`: how it was judged is written down.
fn decide(
    nation: Division,
    years: u32,
    by: Option<ConsentBy>,
    lacks_capacity: bool,
) -> (Decider, Option<Unlawful>) {
    let is_scotland = nation == Division::Scotland;
    let is_child = years < Threshold::YoungPerson.whole();
    let adult_from = parents_until(nation);
    // Who decides if the recorded one cannot.
    let by_age = match years {
        _ if is_child => Decider::Parent,
        years if years < adult_from => Decider::YoungPerson,
        _ => Decider::Adult,
    };
    let not = |why: Unlawful| (by_age, Some(why));
    match by {
        None => (by_age, None),
        Some(ConsentBy::Patient) if is_child => (Decider::Child, None),
        Some(ConsentBy::Patient) => (by_age, None),
        Some(ConsentBy::Guardian) if is_child => (Decider::Parent, None),
        Some(ConsentBy::Guardian) if years >= adult_from => not(Unlawful::GuardianOfAdult),
        Some(ConsentBy::Guardian) if lacks_capacity => (Decider::Parent, None),
        Some(ConsentBy::Guardian) => not(Unlawful::GuardianOfCapable),
        Some(ConsentBy::BestInterests) if is_scotland && !is_child => {
            (Decider::Certificate, Some(Unlawful::NotInThisNation))
        }
        Some(ConsentBy::BestInterests) => (Decider::BestInterests, None),
        Some(ConsentBy::Certificate) if !is_scotland => {
            let decider = if is_child { Decider::Parent } else { Decider::BestInterests };
            (decider, Some(Unlawful::NotInThisNation))
        }
        Some(ConsentBy::Certificate) if is_child => not(Unlawful::TooYoung),
        Some(ConsentBy::Certificate) => (Decider::Certificate, None),
        Some(ConsentBy::Attorney) if nation == Division::NorthernIreland => not(Unlawful::NotInThisNation),
        Some(ConsentBy::Attorney) if years < adult_from => not(Unlawful::TooYoung),
        Some(ConsentBy::Attorney) => (Decider::Attorney, None),
        Some(ConsentBy::Deputy) if nation != Division::EnglandAndWales => not(Unlawful::NotInThisNation),
        Some(ConsentBy::Deputy) if is_child => not(Unlawful::TooYoung),
        Some(ConsentBy::Deputy) => (Decider::Deputy, None),
        Some(ConsentBy::WelfareGuardian) if !is_scotland => not(Unlawful::NotInThisNation),
        Some(ConsentBy::WelfareGuardian) if is_child => not(Unlawful::TooYoung),
        Some(ConsentBy::WelfareGuardian) => (Decider::WelfareGuardian, None),
    }
}

/// The law that names this decider.
fn cite(decider: Decider, nation: Division) -> Cite {
    use Division::{EnglandAndWales, NorthernIreland, Scotland};
    match (decider, nation) {
        (Decider::Adult, Scotland) => law::SCOTTISH_CAPACITY_AT_16,
        (Decider::Adult, _) => law::VALID_CONSENT,
        (Decider::YoungPerson, NorthernIreland) => law::OWN_CONSENT_AT_16_NI,
        (Decider::YoungPerson, _) => law::OWN_CONSENT_AT_16,
        (Decider::Child, Scotland) => law::SCOTTISH_CHILD,
        (Decider::Child, _) => law::COMPETENT_CHILD,
        (Decider::Parent, _) => law::PARENTAL,
        (Decider::Attorney | Decider::WelfareGuardian, Scotland) => law::SCOTTISH_ATTORNEY,
        (Decider::Attorney, _) => law::ATTORNEY,
        (Decider::Deputy | Decider::WelfareGuardian, _) => law::DEPUTY,
        (Decider::Certificate, _) => law::SECTION_47,
        (Decider::BestInterests, NorthernIreland) => law::COMMON_LAW_NI,
        (Decider::BestInterests, EnglandAndWales | Scotland) => law::BEST_INTERESTS,
    }
}
