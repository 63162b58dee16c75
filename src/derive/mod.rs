//! Values worked out from a case: each with its working and its source, or with what is missing.
//!
//! One file per value: arithmetic on unit types, and the glue that reads the case. Nothing here
//! judges (rules do) and nothing here words a document. A value is worked out at the day of
//! surgery, and at today only where there has been none.

mod age;
mod allowance;
mod analgesia;
mod authority;
mod bleeding_risk;
mod body_size;
mod body_weight;
mod circulation;
mod codes;
mod contradictions;
mod course;
mod course_shown;
mod decision_maker;
mod diabetes;
pub mod dose;
mod earlier_anaesthetic;
mod epilepsy;
mod expected_healing;
mod fact;
mod feet;
mod foot_risk;
mod hba1c;
mod history;
mod immunity;
mod licence;
mod next_anaesthetic;
mod next_visits;
mod nhs_number;
mod numbness;
mod operation_minutes;
mod patient_numbers;
mod poor_circulation;
mod practice_actions;
mod pregnancy;
mod reduced_feeling;
mod routine;
mod shown;
mod stated;
mod stated_shown;
mod toe_times;
mod value;

use std::collections::BTreeMap;

use rust_decimal::Decimal;

pub use age::{has_reached, years_on};
pub use allowance::Allowance;
pub use analgesia::{PainReason, Why};
pub use authority::{GivenUnder, Injector};
pub use bleeding_risk::{BleedingRisk, InrAge, InrBand, InrResult};
pub use body_size::{Against, BodySize, Doubt, Swapped};
pub use circulation::TBPI;
pub use contradictions::Contradiction;
pub use course::{
    Course, Due, ForThePractice, HealedOn, Infection, InfectionBy, RegrowthSeen, Stage, ToeCourse,
    infection_by,
};
pub use decision_maker::{Decider, DecisionMaker, Unlawful};
pub use dose::{local_limit_problem, share_in_percent};
pub use earlier_anaesthetic::EarlierAnaesthetic;
pub use fact::{Answer, Fact, Reason, names_of};
pub use foot_risk::{Factors, FootHistory, Urgency, tier};
pub use hba1c::{Hba1cAge, Hba1cJudged};
pub use immunity::IMMUNITY;
pub(crate) use immunity::stays_where_it_is;
pub use licence::OffLabel;
pub use next_visits::{FIRST_REDRESSING, REVIEW, closed_on};
pub use numbness::{Moment, Numbness, Usual};
pub use patient_numbers::PatientNumber;
pub use practice_actions::PracticeAction;
pub use routine::{Routine, Said};
pub use shown::{Shown, shown};
pub use stated_shown::days_shown;
pub use toe_times::treats_both_edges;
pub use value::{Known, Unknown, Value};

pub use crate::clinical::foot_risk::FootRisk;
pub use crate::clinical::pressure_bands::Band;

use crate::anatomy::{Edge, Side, Toe};
use crate::case::{Case, Clinic, UsualAgent};
use crate::clinical::tables::{Class, TradeName, is_a};
use crate::date::{Age, CivilDate, TimeOfDay};
use crate::units::{Kilograms, Milligrams, Millilitres};

/// What the derivations may look at.
#[derive(Debug, Clone, Copy)]
pub struct Given<'a> {
    /// The case.
    pub case: &'a Case,
    /// The clinic.
    pub clinic: &'a Clinic,
    /// Today, from the edge.
    pub today: CivilDate,
}

impl Given<'_> {
    /// The day of surgery; before it the day for which it is booked, or today if it is not.
    pub fn day(&self) -> CivilDate {
        let booked = || self.case.booked.as_ref().map_or(self.today, |booked| booked.on);
        self.case.operation.as_ref().map_or_else(booked, |operation| operation.date)
    }

    /// The anaesthetic that is planned in the case, else the one that the clinic always uses.
    pub fn planned_anaesthetic(&self) -> Option<&UsualAgent> {
        self.case.planned_anaesthetic.as_ref().or(self.clinic.protocol.anaesthetic.as_ref())
    }
}

/// A value for each side of the body.
#[derive(Debug, Clone, PartialEq)]
pub struct BySide<T> {
    /// The right.
    pub right: T,
    /// The left.
    pub left: T,
}

impl<T> BySide<T> {
    /// The one of a side.
    pub fn get(&self, side: Side) -> &T {
        match side {
            Side::Right => &self.right,
            Side::Left => &self.left,
        }
    }
}

/// Everything that was worked out.
#[derive(Debug, Clone)]
pub struct Derived {
    /// Age on the day of surgery.
    pub age: Value<Age>,
    /// Who decides, by the age on the day of signing.
    pub decision_maker: Value<DecisionMaker>,
    /// The NHS number in its 3-3-4 form; unknown if absent or if the check digit is wrong.
    pub nhs_number: Value<String>,
    /// The numbers that name the patient in the banner, each with its label: NHS, CHI, health and care.
    pub patient_numbers: Vec<PatientNumber>,
    /// What is doubtful about mass and height.
    pub body_size: BodySize,
    /// Ideal body weight from height and sex; of a child the median mass of the height.
    pub ideal_body_weight: Value<Kilograms>,
    /// The mass that dose limits use: the measured one; in obesity the lower of measured and ideal.
    pub dosing_weight: Value<Kilograms>,
    /// Where no height is recorded: the mass that would count if the patient were short and obese, and the
    /// share of the limit that the dose would be of it.
    pub without_height: Option<(Kilograms, Decimal)>,
    /// By what authority, and by whom, each anaesthetic was given.
    pub given_under: Vec<GivenUnder>,
    /// Anaesthetics that were given outside their product text.
    pub off_label_given: Vec<OffLabel>,
    /// The clinic's usual anaesthetic, if a toe lies outside its product text: for what is said before.
    pub off_label_planned: Option<OffLabel>,
    /// Another local anaesthetic before this one.
    pub earlier_anaesthetic: Option<EarlierAnaesthetic>,
    /// What may be drawn up of the agent that is planned, before anything is given.
    pub anaesthetic_allowance: Value<Allowance>,
    /// Each agent of the operation, in file order; several entries of one agent are one.
    pub agents: Vec<AgentDose>,
    /// The sum of dose / limit over all agents; 1 is the limit.
    pub anaesthetic_share: Value<Decimal>,
    /// How long the toes stay numb, as planned.
    pub numb_planned: Value<Numbness>,
    /// How long the toes stay numb, by what was given.
    pub numb_given: Value<Numbness>,
    /// Hours without another local anaesthetic after what was given.
    pub next_anaesthetic_hours: Value<u32>,
    /// Times of each operated toe.
    pub toes: BTreeMap<Toe, ToeTimes>,
    /// Pressure indices of each side.
    pub circulation: BySide<Circulation>,
    /// HbA1c in both units.
    pub hba1c: Value<Hba1cBoth>,
    /// How the HbA1c is judged: its height and its age; `None` where there is none.
    pub hba1c_judged: Option<Hba1cJudged>,
    /// Whether the patient has diabetes.
    pub diabetes: Fact,
    /// Whether the patient is pregnant.
    pub pregnancy: Fact,
    /// Whether the patient is breastfeeding.
    pub breastfeeding: Fact,
    /// Whether the patient smokes.
    pub smoking: Fact,
    /// Whether the patient is frail.
    pub frailty: Fact,
    /// Whether the patient has epilepsy.
    pub epilepsy: Fact,
    /// Whether the defence against infection is weakened.
    pub weak_immunity: Fact,
    /// What makes a toe bleed for longer.
    pub bleeding_risk: BleedingRisk,
    /// Whether less blood flows to each foot than it should.
    pub poor_circulation: BySide<Fact>,
    /// Whether the small arteries of the toes shut in the cold.
    pub vasospasm: Fact,
    /// Whether each foot feels less than it should.
    pub reduced_feeling: BySide<Fact>,
    /// What is recorded of the feet: ulcers, amputation and the like.
    pub foot_history: FootHistory,
    /// Foot-risk tier of a patient with diabetes.
    pub foot_risk: Value<FootRisk>,
    /// Where two entries of the history cannot both be true.
    pub contradictions: Vec<Contradiction>,
    /// What the general practice is asked to do, worked out from the rest.
    pub practice_actions: Vec<PracticeAction>,
    /// What is the same with everybody, and whether the case or the protocol says it.
    pub routine: Routine,
    /// Minutes from start to finish.
    pub operation_minutes: Value<i64>,
    /// First redressing and review, on days on which the clinic is open.
    pub next_visits: Value<Vec<PlannedVisit>>,
    /// The course of care since surgery.
    pub course: Course,
    /// How long healing may be expected to take, as planned.
    pub planned_healing: Value<HealingWeeks>,
    /// When the toe may be expected to be healed.
    pub expected_healing: Value<Healing>,
    /// What this patient may be told to take for pain.
    pub analgesia: Value<Analgesia>,
    /// Suggested codes, for the coder to decide.
    pub codes: Value<Vec<Code>>,
    /// Each medicine of the history, looked up.
    pub medicines: Vec<LookedUp>,
    /// Each allergy of the history, looked up.
    pub allergies: Vec<LookedUp>,
    /// Each condition of the history, looked up; diabetes is a value of its own.
    pub conditions: Vec<LookedUp>,
}

/// The dose of one agent.
#[derive(Debug, Clone, PartialEq)]
pub struct AgentDose {
    /// The name as it is printed: the table's own spelling, or what was typed if it is not there.
    pub agent: String,
    /// Positions of its entries in `operation.anaesthetic`, as path steps (`""`, `[1]`).
    pub entries: Vec<String>,
    /// Volume given over all toes.
    pub volume: Value<Millilitres>,
    /// Dose given.
    pub dose: Value<Milligrams>,
    /// The most that may be given.
    pub limit: Value<Milligrams>,
    /// The tool's own limit where a clinic's replaces it, with the clinic's reason.
    pub replaced_limit: Option<(Value<Milligrams>, String)>,
    /// Dose / limit, this agent alone; 1 is the limit.
    pub share: Value<Decimal>,
    /// Volume still allowed after everything given, all agents counted; rounded down to 0.1 ml.
    pub room: Value<Millilitres>,
}

/// Times of one operated toe.
#[derive(Debug, Clone, PartialEq)]
pub struct ToeTimes {
    /// When the toe was numb, about: injection and onset.
    pub numb_from: Value<TimeOfDay>,
    /// Minutes of tourniquet.
    pub tourniquet_minutes: Value<i64>,
    /// Seconds of phenol on an edge, all applications; of a whole nail, on its bed.
    pub phenol_seconds: Value<Decimal>,
}

/// Pressure indices of one side.
#[derive(Debug, Clone, PartialEq)]
pub struct Circulation {
    /// Ankle-brachial pressure index, 2 decimals.
    pub abpi: Value<Banded>,
    /// Toe-brachial pressure index, 2 decimals.
    pub tbpi: Value<Banded>,
}

/// An index with its band.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Banded {
    /// The index, rounded half up to 2 decimals.
    pub index: Decimal,
    /// What it says.
    pub band: Band,
    /// As it was told from elsewhere, not worked out from pressures.
    pub is_told: bool,
}

/// HbA1c in both units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hba1cBoth {
    /// IFCC, whole mmol/mol.
    pub mmol_per_mol: Decimal,
    /// DCCT, % to 1 decimal.
    pub percent: Decimal,
}

/// A visit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlannedVisit {
    /// What it is for: `first redressing`, `review`.
    pub purpose: String,
    /// The day.
    pub date: CivilDate,
    /// The time, if booked.
    pub at: Option<TimeOfDay>,
    /// Stated in the case file, rather than worked out.
    pub is_booked: bool,
}

/// How long healing may be expected to take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HealingWeeks {
    /// Weeks, from.
    pub weeks_from: u32,
    /// Weeks, to.
    pub weeks_to: u32,
}

/// When the toe may be expected to be healed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Healing {
    /// Weeks, from.
    pub weeks_from: u32,
    /// Weeks, to.
    pub weeks_to: u32,
    /// The day of `weeks_from`.
    pub from: CivilDate,
    /// The day of `weeks_to`.
    pub to: CivilDate,
}

/// What this patient may be told about pain relief.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Analgesia {
    /// Paracetamol.
    pub paracetamol: Paracetamol,
    /// Ibuprofen, naproxen and the like.
    pub nsaid: Nsaid,
    /// Why the patient is told not to take them; empty where nothing speaks against them.
    pub no_nsaid_because: Vec<PainReason>,
    /// Under 16: no aspirin unless a doctor prescribed it.
    pub no_aspirin_under_16: bool,
    /// Aspirin or another antiplatelet is taken on prescription: it is not stopped.
    pub prescribed_antiplatelet: bool,
}

/// What is said about ibuprofen, naproxen and the like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Nsaid {
    /// Something speaks against them: the patient, or the clinic's policy.
    NotAdvised,
    /// The patient asks first: the clinic has no policy, or more is recorded than can be judged here.
    AskUs,
    /// The clinic lets patients take ibuprofen, and nothing is recorded that could speak against it.
    MayTake,
}

/// What may be said about paracetamol.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Paracetamol {
    /// May be advised.
    Advise {
        /// Each dose, in patient form: `500mg to 1g`, `7.5ml of 250mg in 5ml`.
        each: String,
        /// The same in tablets or spoons: `one or two 500mg tablets`.
        counted: String,
        /// Hours between doses, at least.
        hours_between: u32,
        /// Doses in 24 hours, at most.
        doses_in_24_h: u32,
        /// The most in 24 hours, in patient form: `4g`.
        most_in_24_h: String,
        /// The same in tablets or spoons: `8 tablets`.
        most_counted: String,
    },
    /// The tool cannot know: the patient is told to ask us, for this reason.
    AskUs(PainReason),
    /// Must not be advised, for this reason.
    Avoid(PainReason),
}

/// A suggested code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// `ICD-10` or `OPCS-4`.
    pub system: &'static str,
    /// The code.
    pub code: &'static str,
    /// Its title.
    pub title: &'static str,
}

/// A name of the history, looked up in the tables.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LookedUp {
    /// As typed.
    pub typed: String,
    /// The table's own name, of a brand what it holds; `None` if it is not there, or not all of it.
    pub name: Option<&'static str>,
    /// The names that were found in it, each on its own.
    pub parts: Vec<&'static str>,
    /// Its classes: `anticoagulant`, `vitamin k antagonist`, `latex`, `amide anaesthetic` …
    pub classes: &'static [Class],
    /// The brand under which it was written.
    pub brand: Option<&'static TradeName>,
    /// The part of the text that names it.
    pub written: String,
    /// The dose and what else follows the name, as typed.
    pub dose: String,
    /// Somebody looked the medicine up and found nothing that speaks against the usual advice.
    pub is_checked: bool,
}

impl LookedUp {
    /// True if the table puts it into this class.
    pub fn is(&self, class: Class) -> bool {
        self.classes.contains(&class)
    }

    /// True if it is this name of a table, or a kind of it.
    pub fn is_a(&self, name: &str) -> bool {
        is_a(&self.parts, self.classes, name)
    }
}

/// Works out everything.
pub fn derive(given: Given<'_>) -> Derived {
    let ideal_body_weight = body_weight::ideal(given);
    let dosing_weight = body_weight::dosing(given, &ideal_body_weight);
    let (agents, anaesthetic_share) = dose::doses(given, &dosing_weight);
    let without_height = body_weight::lowest_without_height(given).and_then(|mass| {
        let (_, share) = dose::doses(given, &mass);
        Some((*mass.get()?, *share.get()?))
    });
    let medicines = history::medicines_of(given);
    let allergies = history::allergies_of(given);
    let conditions = history::conditions_of(given);
    let pregnancy = pregnancy::pregnancy_of(given, &conditions);
    let breastfeeding = stated::breastfeeding_of(given, &conditions);
    let analgesia =
        analgesia::analgesia(given, &medicines, &allergies, &conditions, &pregnancy, &breastfeeding);
    let circulation = circulation::circulation_of(given);
    let hba1c = hba1c::hba1c_of(given);
    let hba1c_judged = hba1c::judged(given, &hba1c);
    let diabetes = diabetes::diabetes_of(given, &conditions);
    let bleeding_risk = bleeding_risk::bleeding_risk_of(given, &medicines, &conditions);
    let poor_circulation = poor_circulation::poor_circulation_of(given, &circulation, &conditions);
    let reduced_feeling = reduced_feeling::reduced_feeling_of(given, &conditions);
    let foot_history = foot_risk::foot_history_of(given, &conditions, &poor_circulation);
    let foot_risk =
        foot_risk::foot_risk_of(given, &diabetes, &foot_history, &poor_circulation, &reduced_feeling);
    let contradictions = contradictions::contradictions_of(given, &medicines, &conditions, &bleeding_risk);
    let practice_actions = practice_actions::practice_actions_of(&practice_actions::Known {
        given,
        diabetes: &diabetes,
        foot_risk: &foot_risk,
        foot_history: &foot_history,
        poor_circulation: &poor_circulation,
        circulation: &circulation,
        hba1c: &hba1c,
        hba1c_judged: hba1c_judged.as_ref(),
    });
    let earlier_anaesthetic = earlier_anaesthetic::earlier_of(given, &dosing_weight);
    let next_visits = next_visits::next_visits_of(given);
    Derived {
        age: age::age_of(given),
        decision_maker: decision_maker::decision_maker_of(given),
        nhs_number: nhs_number::nhs_number_of(given),
        patient_numbers: patient_numbers::patient_numbers_of(given),
        body_size: body_size::body_size_of(given),
        ideal_body_weight,
        without_height,
        given_under: authority::given_under(given),
        off_label_given: licence::off_label_given(given),
        off_label_planned: licence::off_label_planned(given),
        anaesthetic_allowance: allowance::allowance_of(given, &dosing_weight, earlier_anaesthetic.as_ref()),
        earlier_anaesthetic,
        dosing_weight,
        agents,
        anaesthetic_share,
        numb_planned: numbness::planned_of(given),
        numb_given: numbness::given_of(given),
        next_anaesthetic_hours: next_anaesthetic::next_anaesthetic_of(given),
        toes: toe_times::times(given),
        hba1c,
        hba1c_judged,
        pregnancy,
        breastfeeding,
        smoking: stated::smoking_of(given, &conditions),
        frailty: stated::frailty_of(given, &conditions),
        epilepsy: epilepsy::epilepsy_of(given, &conditions),
        weak_immunity: immunity::weak_immunity_of(given, &medicines, &conditions),
        vasospasm: poor_circulation::vasospasm_of(given, &conditions),
        diabetes,
        bleeding_risk,
        poor_circulation,
        reduced_feeling,
        foot_history,
        foot_risk,
        contradictions,
        practice_actions,
        circulation,
        routine: routine::routine_of(given),
        operation_minutes: operation_minutes::operation_minutes_of(given),
        course: course::course_of(given, &next_visits),
        next_visits,
        planned_healing: expected_healing::planned_healing_of(given),
        expected_healing: expected_healing::expected_healing_of(given),
        analgesia,
        codes: codes::codes_of(given),
        medicines,
        allergies,
        conditions,
    }
}

/// `medial and lateral edges`, for workings and documents.
pub fn edges_in_words(edges: &[Edge]) -> String {
    match edges {
        [] => "no edge named".into(),
        [one] => format!("{} edge", one.word()),
        _ => "medial and lateral edges".into(),
    }
}
