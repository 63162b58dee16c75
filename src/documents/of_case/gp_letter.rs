//! The letter to the family doctor, with a copy to the patient: the action first, then the national
//! headings (`clinical::sources::records`). It says what was done and planned, and words it so that
//! the patient may read it.

use serde::Serialize;

use crate::anatomy::{Matrix, Toe};
use crate::case::{Gp, Need, is_nothing};
use crate::clinical::thresholds::Threshold;
use crate::diagnostic::Path;
use crate::documents::page::{
    self, Consent, Medicines, Naming, Person, address_lines, allergies, diagnoses, full_name, listed,
    procedures, without_stop,
};
use crate::documents::parts::earlier::Earlier;
use crate::documents::parts::feet::DiabetesView;
use crate::documents::parts::given_up::GivenUp;
use crate::documents::parts::on_the_day::{SampleView, samples};
use crate::documents::parts::plan::Plan;
use crate::documents::parts::risks::Risks;
use crate::documents::parts::{feet, incidents};
use crate::documents::{Audience, Document, Edition, Made, Toes};
use crate::facts::Facts;
use crate::words::{List, capitalised};

/// The letter to the family doctor.
pub(crate) static DOCUMENT: Document = Document {
    name: "gp-letter",
    title: "Letter to the general practice",
    template: "gp-letter/main.typ",
    audience: Audience::Clinician,
    toes: Toes::Operated,
    tells_incidents: true,
    made: Made::OfCase { missing, view },
};

fn missing(facts: &Facts) -> Vec<Path> {
    let mut missing = Vec::new();
    if facts.case.operation.is_none() {
        missing.push(Path::from("operation"));
    }
    if facts.gp().is_none() {
        missing.push(Path::from("gp"));
    }
    missing
}

/// What the template may print. Every key is always there; a text is empty where nothing is recorded.
#[derive(Debug, Serialize)]
struct View {
    /// The address block, at most six lines in the window.
    to: Vec<String>,
    /// `Dr Fenwright`; empty where nobody is named.
    doctor: String,
    subject: Subject,
    date: String,
    patient: PatientView,
    /// Cautions that concern the practice, with what was decided.
    answered: Vec<Answered>,
    /// Weeks in which a toe is red and weeps after phenol.
    weeping_weeks: String,
    diagnoses: Vec<page::Diagnosis>,
    procedures: Vec<page::Procedure>,
    given_up: GivenUp,
    earlier: Earlier,
    incidents: Vec<incidents::IncidentView>,
    watching: incidents::Watching,
    summary: Summary,
    examination: Vec<feet::FootFound>,
    history: History,
    medicines: Medicines,
    given: Vec<Given>,
    also_given: AlsoGiven,
    phenol: Phenol,
    allergies: String,
    consent: Consent,
    concerns: String,
    needs: Vec<NeedView>,
    leaflet: String,
    /// The risks that were discussed, in one line.
    risks_discussed: String,
    /// What was sent at the operation, and who acts on the result.
    samples: Vec<SampleView>,
    alternatives: String,
    plan: Plan,
    copies: Vec<String>,
    author: Person,
}

#[derive(Debug, Serialize)]
struct PatientView {
    full_name: String,
    address: String,
}

/// A caution that was answered: what was found, once for each foot, and what was decided.
#[derive(Debug, PartialEq, Eq, Serialize)]
struct Answered {
    says: Vec<String>,
    because: String,
    by: String,
}

#[derive(Debug, Serialize)]
pub(super) struct Subject {
    day: String,
    /// `left big toe`, `both big toes`, `right big toe and left second toe`.
    toes: String,
}

#[derive(Debug, Default, Serialize)]
struct Summary {
    problem: String,
    tried: String,
    complications: String,
    complications_are_recorded: bool,
    no_complications: bool,
    findings: String,
    discharge: String,
    not_done: Vec<NotDone>,
}

/// What the patient needs from written and spoken information.
#[derive(Debug, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "one of them holds, and the template has its words")]
pub(super) struct NeedView {
    /// The word of the case file.
    word: &'static str,
    /// Of an interpreter, where it is known.
    language: String,
    is_large_print: bool,
    is_easy_read: bool,
    is_interpreter: bool,
    is_hearing: bool,
    is_carer: bool,
}

#[derive(Debug, Serialize)]
struct NotDone {
    toe: String,
    reason: String,
}

#[derive(Debug, Serialize)]
pub(super) struct History {
    diabetes: DiabetesView,
    conditions: String,
    is_pregnant: bool,
    #[serde(flatten)]
    risks: Risks,
}

/// A local anaesthetic; dose and volume are empty where they are not known.
#[derive(Debug, Serialize)]
struct Given {
    agent: String,
    dose: String,
    volume: String,
    /// Why the dose is not known, where it is not.
    why_not_known: String,
    /// Its product text does not name a block of a toe.
    is_off_label: bool,
}

/// What else was given at the operation; empty where it was nothing or is not recorded.
#[derive(Debug, Serialize)]
struct AlsoGiven {
    antibiotics: String,
    vte_prophylaxis: String,
    sedative: String,
}

#[derive(Debug, Serialize)]
struct Phenol {
    is_used: bool,
    /// Planned, and not used on any toe.
    is_left_out: bool,
    strength: String,
}

fn view(facts: &Facts, edition: &Edition) -> serde_json::Value {
    let gp = facts.gp();
    let patient = &facts.case.patient;
    let consent = facts.case.consent.as_ref();
    let own = View {
        to: gp.map_or_else(Vec::new, address_lines),
        doctor: gp.map_or_else(String::new, doctor),
        subject: subject(facts),
        date: edition.made_on.clinical(),
        patient: PatientView { full_name: full_name(facts), address: patient.address.join(", ") },
        answered: answered(edition),
        weeping_weeks: Threshold::WeepsFor.whole().to_string(),
        diagnoses: diagnoses(facts, Naming::Plain),
        procedures: procedures(facts, Naming::Plain),
        given_up: GivenUp::of(facts, Naming::Plain),
        earlier: Earlier::of(facts, Audience::Clinician, facts.operated_with_plan().len()),
        incidents: incidents::for_colleagues(facts, edition),
        watching: incidents::Watching::of(facts),
        summary: summary(facts),
        examination: feet::examination(facts),
        history: history(facts),
        medicines: Medicines::of(facts),
        given: given(facts),
        also_given: also_given(facts),
        phenol: phenol(facts),
        allergies: capitalised(&allergies(facts)),
        consent: Consent::of(facts),
        concerns: capitalised(&inside(consent.and_then(|consent| consent.concerns.as_ref()))),
        needs: needs(facts),
        leaflet: inside(consent.and_then(|consent| consent.leaflet.as_ref())),
        risks_discussed: page::risks_discussed(facts),
        samples: samples(facts),
        alternatives: consent
            .and_then(|consent| consent.alternatives.as_deref())
            .map_or_else(String::new, |alternatives| List::and(alternatives).to_string()),
        plan: Plan::of(facts, edition.made_on),
        copies: copies(facts, gp),
        author: Person::of(facts.operator()),
    };
    page::with_shared(facts, edition, &DOCUMENT, String::new(), false, &own)
}

/// As typed, without the stop of a whole sentence, since more follows; empty if not recorded.
fn inside(text: Option<&String>) -> String {
    text.map_or_else(String::new, |text| without_stop(text).to_owned())
}

/// As the clinic says; else `Dr Fenwright` from `Dr A. Fenwright`. Empty where a name could be taken apart wrongly:
/// with a given name, a second title or a partner in it.
pub(super) fn doctor(gp: &Gp) -> String {
    if let Some(greeting) = &gp.greeting {
        return without_stop(greeting.trim()).to_owned();
    }
    let mut words = gp.name.as_deref().unwrap_or_default().split_whitespace();
    let title = words.next().and_then(crate::words::greeting_title);
    let is_initial = |word: &&str| word.trim_end_matches('.').chars().count() == 1 && *word != "&";
    let names: Vec<&str> = words.filter(|word| !is_initial(word)).collect();
    match (title, names.as_slice()) {
        (Some(title), [family]) if family.chars().all(|c| c.is_alphabetic() || "-'’".contains(c)) => {
            format!("{title} {family}")
        }
        _ => String::new(),
    }
}

/// What the practice should know of what was weighed up; two feet with one answer are one.
fn answered(edition: &Edition) -> Vec<Answered> {
    let mut all: Vec<Answered> = Vec::new();
    for answered in edition.answered.iter() {
        // An incident is told in full further down.
        if !answered.concerns_the_practice || answered.incident.is_some() {
            continue;
        }
        let because = without_stop(&answered.because).to_owned();
        let same = |known: &&mut Answered| known.because == because && known.by == answered.by;
        match all.iter_mut().find(same) {
            Some(known) => known.says.push(answered.says.clone()),
            None => all.push(Answered {
                says: vec![capitalised(&answered.says)],
                because,
                by: answered.by.clone(),
            }),
        }
    }
    all
}

pub(super) fn subject(facts: &Facts) -> Subject {
    let operated: Vec<Toe> = if facts.is_given_up() {
        facts.given_up_toes()
    } else {
        facts.operated().into_iter().map(|(toe, _)| toe).collect()
    };
    let toes = match operated.as_slice() {
        [one, other] if one.number() == other.number() => {
            format!("both {}s", one.plain().trim_start_matches("right ").trim_start_matches("left "))
        }
        toes => List::and(toes.iter().map(|toe| toe.plain())).to_string(),
    };
    let day = facts.case.operation.as_ref().map_or_else(String::new, |operation| operation.date.clinical());
    Subject { day, toes }
}

fn summary(facts: &Facts) -> Summary {
    let Some(operation) = &facts.case.operation else { return Summary::default() };
    let problem = facts.case.problem.as_ref();
    let not_done = operation
        .not_done
        .iter()
        .flat_map(|toes| toes.iter())
        .map(|(toe, why)| NotDone { toe: Naming::Plain.toe(toe), reason: without_stop(why).to_owned() });
    Summary {
        problem: capitalised(&inside(problem.and_then(|problem| problem.summary.as_ref()))),
        tried: inside(problem.and_then(|problem| problem.tried.as_ref())),
        complications: inside(operation.complications.as_ref()),
        complications_are_recorded: operation.complications.is_some(),
        no_complications: operation.complications.as_deref().is_some_and(is_nothing),
        findings: inside(operation.findings.as_ref()),
        discharge: inside(operation.discharge.as_ref()),
        not_done: not_done.collect(),
    }
}

pub(super) fn history(facts: &Facts) -> History {
    let history = facts.case.history.as_ref();
    History {
        diabetes: DiabetesView::of(facts),
        conditions: listed(history.and_then(|history| history.conditions.clone())),
        is_pregnant: facts.derived.pregnancy.holds(),
        risks: Risks::of(facts),
    }
}

fn given(facts: &Facts) -> Vec<Given> {
    let is_off_label = |agent: &str| facts.derived.off_label_given.iter().any(|one| one.agent == agent);
    let each = facts.derived.agents.iter().map(|agent| Given {
        agent: agent.agent.clone(),
        dose: agent.dose.get().map_or_else(String::new, ToString::to_string),
        volume: agent.volume.get().map_or_else(String::new, ToString::to_string),
        why_not_known: agent
            .dose
            .unknown()
            .map_or_else(String::new, crate::documents::parts::unknown::reason),
        is_off_label: is_off_label(&agent.agent),
    });
    each.collect()
}

fn also_given(facts: &Facts) -> AlsoGiven {
    let routine = &facts.derived.routine;
    let of = |text: Option<&String>| inside(text.filter(|text| !is_nothing(text)));
    let sedative = facts.case.operation.as_ref().and_then(|operation| operation.sedative.as_ref());
    AlsoGiven {
        antibiotics: of(routine.antibiotics.get()),
        vte_prophylaxis: of(routine.vte_prophylaxis.get()),
        sedative: of(sedative),
    }
}

fn phenol(facts: &Facts) -> Phenol {
    let is_used = facts.operated().iter().any(|(_, toe)| toe.phenol.is_some());
    let is_planned = facts.planned().iter().any(|(_, toe)| toe.matrix == Matrix::Phenol);
    let supplied = facts.case.operation.as_ref().and_then(|operation| operation.phenol.as_ref());
    Phenol {
        is_used,
        is_left_out: is_planned && !is_used,
        strength: supplied.map_or_else(String::new, |phenol| phenol.strength.to_string()),
    }
}

pub(super) fn needs(facts: &Facts) -> Vec<NeedView> {
    let patient = &facts.case.patient;
    let each = patient.needs.iter().map(|need| NeedView {
        word: need.word(),
        language: patient.language.clone().filter(|_| *need == Need::Interpreter).unwrap_or_default(),
        is_large_print: *need == Need::LargePrint,
        is_easy_read: *need == Need::EasyRead,
        is_interpreter: *need == Need::Interpreter,
        is_hearing: *need == Need::Hearing,
        is_carer: *need == Need::CarerPresent,
    });
    each.collect()
}

pub(super) fn copies(facts: &Facts, gp: Option<&Gp>) -> Vec<String> {
    let mut copies = Vec::new();
    copies.extend(gp.map(|gp| match &gp.name {
        Some(name) => format!("{name}, {}", gp.practice),
        None => gp.practice.clone(),
    }));
    copies.push(format!("{} (patient)", full_name(facts)));
    // A parent is told only where they decide, or where the patient agrees.
    let may_be_told = facts.derived.decision_maker.get().is_some_and(|maker| maker.guardian_may_be_told);
    let guardian = facts.case.patient.guardian.as_ref().filter(|_| may_be_told);
    copies.extend(guardian.map(|guardian| format!("{} ({})", guardian.name, guardian.relationship)));
    copies
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn a_letter_needs_an_operation_and_a_practice() {
        let missing = |fragment: &str| -> Vec<String> {
            missing(&facts_of(fragment)).iter().map(ToString::to_string).collect()
        };
        assert_eq!(missing(""), Vec::<String>::new());
        assert_eq!(missing("gp: ~"), ["gp"]);
        assert_eq!(missing("gp: nobody"), ["gp"]);
        assert_eq!(missing("operation: ~\ngp: ~"), ["operation", "gp"]);
    }

    #[test]
    fn doctors_are_greeted_by_their_family_name() {
        let gp = |name: Option<&str>| {
            doctor(&Gp {
                name: name.map(Into::into),
                greeting: None,
                practice: "Birchgate".into(),
                address: Vec::new(),
                telephone: None,
            })
        };
        assert_eq!(gp(Some("Dr A. Fenwright")), "Dr Fenwright");
        assert_eq!(gp(Some("Dr A B Fen-Wright")), "Dr Fen-Wright");
        assert_eq!(gp(Some("Dr. J. Patel")), "Dr Patel");
        assert_eq!(gp(Some("Prof. Ng")), "Prof Ng");
        for unclear in
            ["Dr Priya Patel", "Prof. Sir J. Ng", "Dr A. Smith & Partners", "J. Patel", "Practice manager"]
        {
            assert_eq!(gp(Some(unclear)), "", "{unclear}: a colleague");
        }
        assert_eq!(gp(None), "");
        let said = Gp {
            name: Some("Dr Priya Patel".into()),
            greeting: Some("Dr Patel".into()),
            practice: "Birchgate".into(),
            address: Vec::new(),
            telephone: None,
        };
        assert_eq!(doctor(&said), "Dr Patel");
    }

    #[test]
    fn a_parent_gets_a_copy_only_where_they_decide_or_the_patient_agrees() {
        let has_copy = |nation: &str, born: &str, by: &str, told: &str| {
            let facts = facts_of(&format!(
                "{{clinic: {{division: {nation}}}, patient: {{born: {born}, guardian: {{name: Ellis Hollis, \
                   relationship: father, parental_responsibility: true, may_be_told: {told}}}}}, \
                   consent: {{by: {by}, capacity: judged}}}}"
            ));
            copies(&facts, facts.gp()).iter().any(|copy| copy.contains("Ellis Hollis"))
        };
        let (child, young) = ("2012-05-01", "2009-05-01");
        for nation in ["england-and-wales", "northern-ireland", "scotland"] {
            assert!(!has_copy(nation, child, "patient", "~"), "{nation}");
            assert!(!has_copy(nation, young, "patient", "~"), "{nation}");
            assert!(!has_copy(nation, child, "patient", "false"), "{nation}");
            assert!(has_copy(nation, child, "patient", "true") && has_copy(nation, young, "patient", "true"));
            assert!(has_copy(nation, child, "guardian", "~"), "{nation}: who consents is told");
            assert!(!has_copy(nation, "1984-02-09", "patient", "~"), "{nation}: an adult");
        }
        assert!(has_copy("england-and-wales", young, "guardian", "~"), "a young person who cannot decide");
        assert!(!has_copy("scotland", young, "guardian", "~"), "an adult there");
    }

    #[test]
    fn what_was_given_outside_its_licence_is_told() {
        let told = |fragment: &str| -> Vec<bool> {
            given(&facts_of(fragment)).iter().map(|one| one.is_off_label).collect()
        };
        assert_eq!(told(""), [true], "mepivacaine 3 %: a dental text");
        assert_eq!(told("operation: {anaesthetic: {agent: lidocaine, strength: 1 %}}"), [false]);
    }

    #[test]
    fn that_there_were_no_complications_is_said_in_several_words() {
        let none = |typed: &str| {
            summary(&facts_of(&format!("operation: {{complications: {typed}}}"))).no_complications
        };
        assert!(none("none") && none("Nil") && none("nil.") && !none("bleeding") && !none("~"));
    }

    #[test]
    fn medicines_beside_the_anaesthetic_are_told_where_any_were_given() {
        let told = |operation: &str| {
            let given = also_given(&facts_of(&format!("operation: {{{operation}}}")));
            [given.antibiotics, given.vte_prophylaxis, given.sedative]
        };
        assert_eq!(told("antibiotics: none, vte_prophylaxis: none"), ["", "", ""]);
        assert_eq!(told("antibiotics: Nil, vte_prophylaxis: None."), ["", "", ""]);
        assert_eq!(told("antibiotics: ~, vte_prophylaxis: ~"), ["", "", ""]);
        assert_eq!(
            told(
                "antibiotics: \"cefalexin 500 mg, once.\", vte_prophylaxis: stockings, sedative: diazepam 2 mg"
            ),
            ["cefalexin 500 mg, once", "stockings", "diazepam 2 mg"]
        );
    }

    #[test]
    fn toes_are_named_in_plain_words_without_their_codes() {
        let toes = |fragment: &str| subject(&facts_of(fragment)).toes;
        assert_eq!(toes(""), "left big toe");
        assert_eq!(toes("operation: {toes: {R1: {nail: total}}}"), "both big toes");
        assert_eq!(toes("operation: {toes: {R2: {nail: total}}}"), "right second toe and left big toe");
    }

    #[test]
    fn what_concerns_the_practice_is_told_once_for_both_feet() {
        let one = |says: &str, concerns_the_practice| crate::documents::AnsweredCaution {
            title: "phenol in a foot with poor circulation".into(),
            says: says.into(),
            because: "vascular team asked.".into(),
            by: "R. Quill".into(),
            concerns_the_practice,
            incident: None,
        };
        let edition = Edition {
            is_draft: false,
            version: 1,
            made_on: facts_of("").today,
            replaces: None,
            answered: vec![one("right TBPI 0.45", true), one("left TBPI 0.39", true), one("tray", false)],
            open: Vec::new(),
        };
        assert_eq!(
            answered(&edition),
            [Answered {
                says: vec!["Right TBPI 0.45".into(), "left TBPI 0.39".into()],
                because: "vascular team asked".into(),
                by: "R. Quill".into()
            }]
        );
    }
}
