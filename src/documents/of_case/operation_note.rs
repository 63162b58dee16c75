//! The operation note: every item that a surgical note must have, as recorded or "not recorded".
//!
//! The list is that of the Royal College of Surgeons with what nail surgery adds
//! (`clinical::sources::records::{OPERATION_NOTE_FRAMEWORK, OPERATION_NOTE_2014, SAFETY_CHECKLIST}`).
//! Nothing is filled in that the case file does not say. Labels and sentences stand in the template.
//! Later visits are not of that day: they have notes of their own.

use serde::Serialize;

use crate::anatomy::{Nail, Toe};
use crate::case::{Measured, OneOrMany, OperatedToe, Operation, PhenolOn, Smoker, Urgency};
use crate::date::{Expiry, TimeOfDay};
use crate::derive::{Answer, Said, ToeTimes, Value, names_of};
use crate::diagnostic::Path;
use crate::documents::page::{
    self, Consent, Feet, Medicines, NOT_RECORDED, Naming, allergies, gap, listed, measured, recorded,
    toe_in_words,
};
use crate::documents::parts::earlier::Earlier;
use crate::documents::parts::feet::DiabetesView;
use crate::documents::parts::given_up::GivenUp;
use crate::documents::parts::on_the_day::OnTheDay;
use crate::documents::parts::plan::Plan;
use crate::documents::parts::risks::Risks;
use crate::documents::parts::{dose, feet, incidents};
use crate::documents::{Audience, Document, Edition, Made, Toes};
use crate::facts::Facts;
use crate::words::{List, capitalised};

/// The operation note.
pub(crate) static DOCUMENT: Document = Document {
    name: "operation-note",
    title: "Operation note",
    template: "operation-note/main.typ",
    audience: Audience::Clinician,
    toes: Toes::Operated,
    tells_incidents: true,
    made: Made::OfCase { missing, view },
};

fn missing(facts: &Facts) -> Vec<Path> {
    if facts.case.operation.is_some() { Vec::new() } else { vec![Path::from("operation")] }
}

/// What the template may print. Every key is always there.
#[derive(Debug, Serialize)]
struct View {
    open: Vec<String>,
    feet: Feet,
    has_one_toe: bool,
    given_up: GivenUp,
    procedures: Vec<page::Procedure>,
    diagnoses: Vec<page::Diagnosis>,
    when: When,
    late: LateEntry,
    earlier: Earlier,
    urgency: String,
    urgency_is_protocol: bool,
    problem: String,
    tried: String,
    /// Empty if it is not recorded; so for the three below.
    daily_life: String,
    /// Aspiration before injecting.
    aspiration: String,
    /// How it was seen that the toe is numb.
    block_test: String,
    /// Who counted, by name.
    counted_by: String,
    assistant: String,
    /// What was measured and asked beside the operation, and how the patient left.
    day: OnTheDay,
    /// The risks that were discussed, in one line.
    risks_discussed: String,
    /// An answer of the background is too long for half a line.
    has_long_background: bool,
    background: Background,
    consent: Consent,
    /// Phenol was used on at least one toe.
    has_phenol: bool,
    toe_tables: Vec<ToeTable>,
    not_done: Vec<NotDone>,
    dose: dose::DoseView,
    circulation: feet::CirculationView,
    checks: Checks,
    supplies: Vec<Supply>,
    instruments: Instruments,
    outcome: Outcome,
    incidents: Vec<incidents::IncidentView>,
    cautions: Vec<Caution>,
    plan: Plan,
    codes: Codes,
}

/// `24-Nov-2026, 09:30 to 10:20 (50 min)`; empty where a time is not recorded.
#[derive(Debug, Default, Serialize)]
struct When {
    date: String,
    start: String,
    /// Why it is not recorded, where that was written; so for all gaps here.
    start_gap: String,
    finish: String,
    finish_gap: String,
    minutes: String,
}

/// When the note was written, where that was not at once; all empty if it was.
#[derive(Debug, Default, Serialize)]
struct LateEntry {
    /// `26-Nov-2026, 08:10`.
    written: String,
    by: String,
    because: String,
    from: String,
}

#[derive(Debug, Serialize)]
struct Background {
    weight: String,
    height: String,
    /// Address and telephone; empty if neither is recorded.
    reached_at: String,
    allergies: String,
    diabetes: DiabetesView,
    conditions: String,
    medicines: Medicines,
    foot_risk: FootRiskView,
    /// What is recorded of the feet of a patient without diabetes: `previous ulcer, deformity`.
    feet: String,
    risks: Risks,
    smokes: bool,
    stopped_smoking: bool,
    smoking_is_recorded: bool,
    is_pregnant: bool,
    is_breastfeeding: bool,
    is_frail: bool,
}

/// The foot-risk tier, or why it is not judged; nothing of either without diabetes.
#[derive(Debug, Default, Serialize)]
struct FootRiskView {
    /// `High`; empty if it is not judged.
    tier: String,
    /// `reduced sensation and poor circulation`.
    because: String,
    /// Why it is not judged: `sensation of the left foot not recorded`.
    not_judged: String,
}

impl Background {
    fn has_a_long_answer(&self) -> bool {
        let foot_risk = &self.foot_risk.because;
        let answers = [&self.allergies, &self.conditions, &self.medicines.list, foot_risk];
        let answers = answers.iter().map(|answer| answer.chars().count());
        answers.chain([self.diabetes.letters()]).any(|letters| letters > HALF_A_LINE)
    }
}

/// Up to [`TOES_A_TABLE`] toes side by side.
#[derive(Debug, Serialize)]
struct ToeTable {
    /// Phenol was used on at least one of them.
    has_phenol: bool,
    /// Of at least one it is recorded how the skin was protected against it.
    has_skin_protection: bool,
    /// Of at least one it is recorded when it was numb, or when feeling was back.
    has_numbness: bool,
    toes: Vec<ToeColumn>,
}

/// What was done to one toe; a text is empty where nothing is recorded.
#[derive(Debug, Serialize)]
struct ToeColumn {
    /// `Left hallux (L1)`.
    name: String,
    is_through_infected_skin: bool,
    /// `Lateral edge`, `Whole nail`; empty if nothing was removed.
    nail: String,
    agreed_on_day: String,
    injections: Vec<Injection>,
    injection_site: String,
    numb_at: String,
    numb_gap: String,
    feeling_back: FeelingBack,
    skin_protection: String,
    /// Two agents in one syringe, or one after the other; neither where it is not recorded.
    is_mixed: bool,
    is_one_after_the_other: bool,
    tourniquet: Tourniquet,
    phenol: Phenol,
    end_point: String,
    overspill: String,
    groove_is_recorded: bool,
    groove_is_clear: bool,
    lavage: String,
    /// What the clinic always does, by `routine: as protocol`; so for all marks of the protocol here.
    lavage_is_protocol: bool,
    refill: String,
}

#[derive(Debug, Serialize)]
struct Injection {
    at: String,
    at_gap: String,
    volume: String,
    volume_gap: String,
    agent: String,
    site: String,
}

/// When feeling was back; empty where it is not recorded.
#[derive(Debug, Default, Serialize)]
struct FeelingBack {
    is_recorded: bool,
    /// The day, where it is not that of surgery.
    on: String,
    at: String,
    at_gap: String,
}

#[derive(Debug, Default, Serialize)]
struct Tourniquet {
    is_recorded: bool,
    on: String,
    on_gap: String,
    off: String,
    off_gap: String,
    minutes: String,
    kind: String,
}

#[derive(Debug, Default, Serialize)]
struct Phenol {
    is_used: bool,
    applications: String,
    applications_gap: String,
    each: String,
    each_gap: String,
    seconds: String,
    /// On each of two edges so many, or on both together; neither where it is not recorded or one edge.
    is_on_each_edge: bool,
    is_on_both_together: bool,
}

/// A toe that was planned and not operated on.
#[derive(Debug, Serialize)]
struct NotDone {
    toe: String,
    reason: String,
}

/// A check with the answer in words, since an empty box may mean "no" and "not recorded".
#[derive(Debug, PartialEq, Eq, Serialize)]
struct Check {
    /// Answered with yes or no. A check that not every clinic has is printed only then.
    is_recorded: bool,
    is_done: bool,
    answer: &'static str,
}

#[derive(Debug, Serialize)]
struct Checks {
    identity: Check,
    site_marked: Check,
    allergies: Check,
    counted: Check,
    tourniquet_off: Check,
    stop_before_block: Check,
    resuscitation: Check,
    adrenaline: Check,
}

/// A product, to be traced.
#[derive(Debug, PartialEq, Eq, Serialize)]
struct Supply {
    item: String,
    batch: String,
    expires: String,
}

/// The set of instruments; each part is empty where it is not recorded.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
struct Instruments {
    is_recorded: bool,
    gap: String,
    tray: String,
    cycle: String,
    single_use_lot: String,
}

/// What was found and how it ended. Skin preparation and dressing may be those of the protocol.
#[derive(Debug, Default, Serialize)]
struct Outcome {
    findings: String,
    complications: String,
    tissue: Tissue,
    specimens: String,
    skin_preparation: String,
    skin_preparation_is_protocol: bool,
    /// The kind of the clinic's protocol, where a toe had one and its kind is not recorded.
    tourniquet: String,
    dressing: String,
    dressing_is_protocol: bool,
    discharge: String,
    /// Empty if none was.
    times_corrected: Vec<String>,
    blood_loss: String,
    /// Empty if it is not recorded.
    haemostasis: String,
    antibiotics: String,
    antibiotics_is_protocol: bool,
    vte_prophylaxis: String,
    vte_prophylaxis_is_protocol: bool,
    note: String,
}

/// The toes whose nails were removed: `R1 and L1`.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
struct Tissue {
    strips: String,
    has_several_strips: bool,
    nails: String,
    has_several_nails: bool,
}

/// What was found, once for each answer: two feet with one answer are one caution.
#[derive(Debug, Serialize)]
struct Caution {
    title: String,
    says: Vec<String>,
    because: String,
    by: String,
}

#[derive(Debug, Serialize)]
struct Codes {
    systems: Vec<CodeSystem>,
    unknown: String,
}

/// `OPCS-4` and its codes.
#[derive(Debug, Serialize)]
struct CodeSystem {
    name: &'static str,
    codes: Vec<CodeView>,
}

#[derive(Debug, Serialize)]
struct CodeView {
    code: &'static str,
    title: &'static str,
}

/// Characters that stand beside a label in half the width of the page, in two lines.
const HALF_A_LINE: usize = 46;

/// More columns than this are too narrow to read.
const TOES_A_TABLE: usize = 3;

fn view(facts: &Facts, edition: &Edition) -> serde_json::Value {
    let operation = facts.case.operation.as_ref();
    let drawn: Vec<_> =
        facts.operated().into_iter().map(|(toe, done)| (toe, done.nail, done.edges())).collect();
    let problem = facts.case.problem.as_ref();
    let background = background(facts);
    let own = View {
        open: if edition.is_draft { edition.open.clone() } else { Vec::new() },
        feet: Feet::of(&drawn),
        has_one_toe: drawn.len() == 1 || facts.given_up_toes().len() == 1,
        given_up: GivenUp::of(facts, Naming::Codes),
        procedures: page::procedures(facts, Naming::Codes),
        diagnoses: page::diagnoses(facts, Naming::Codes),
        when: operation.map_or_else(When::default, |operation| when(facts, operation)),
        late: operation.map_or_else(LateEntry::default, late_entry),
        earlier: Earlier::of(facts, Audience::Clinician, facts.operated_with_plan().len()),
        urgency: capitalised(urgency(facts)),
        urgency_is_protocol: facts.derived.routine.urgency.is_protocol(),
        problem: capitalised(&inside(problem.and_then(|problem| problem.summary.as_deref()))),
        tried: inside(problem.and_then(|problem| problem.tried.as_deref())),
        daily_life: capitalised(&inside(facts.case.patient.daily_life.as_deref())),
        aspiration: capitalised(&inside(operation.and_then(|operation| operation.aspiration.as_deref()))),
        block_test: capitalised(&inside(operation.and_then(|operation| operation.block_test.as_deref()))),
        counted_by: operation
            .and_then(|operation| operation.counted_by.as_deref())
            .map_or_else(String::new, |typed| page::name_of(facts, typed)),
        assistant: inside(operation.and_then(|operation| operation.assistant.as_deref())),
        day: OnTheDay::of(facts),
        risks_discussed: capitalised(&page::risks_discussed(facts)),
        has_long_background: background.has_a_long_answer(),
        background,
        consent: Consent::of(facts),
        has_phenol: facts.operated().iter().any(|(_, done)| done.phenol.is_some()),
        toe_tables: toe_tables(facts),
        not_done: operation.map_or_else(Vec::new, |operation| not_done(facts, operation)),
        dose: dose::DoseView::of(facts),
        circulation: feet::CirculationView::of(facts),
        checks: checks(operation),
        supplies: operation.map_or_else(Vec::new, supplies),
        instruments: operation.map_or_else(Instruments::default, instruments),
        outcome: operation.map_or_else(Outcome::default, |operation| outcome(facts, operation)),
        incidents: incidents::for_colleagues(facts, edition),
        cautions: cautions(edition),
        plan: Plan::of(facts, edition.made_on),
        codes: codes(facts),
    };
    page::with_shared(facts, edition, &DOCUMENT, String::new(), true, &own)
}

/// As typed, without the stop of a whole sentence, since more may follow; empty if not recorded.
fn inside(text: Option<&str>) -> String {
    page::without_stop(text.unwrap_or_default()).to_owned()
}

/// As [`inside`], standing alone.
fn alone(text: Option<&str>) -> String {
    capitalised(page::without_stop(&recorded(text)))
}

fn when(facts: &Facts, operation: &Operation) -> When {
    When {
        date: operation.date.clinical(),
        start: time(&operation.start),
        start_gap: gap(&operation.start),
        finish: time(&operation.finish),
        finish_gap: gap(&operation.finish),
        minutes: facts.derived.operation_minutes.get().map_or_else(String::new, ToString::to_string),
    }
}

fn late_entry(operation: &Operation) -> LateEntry {
    let Some(late) = &operation.late_entry else { return LateEntry::default() };
    let at = late.at.map_or_else(String::new, |at| format!(", {}", at.clinical()));
    LateEntry {
        written: format!("{}{at}", late.written.clinical()),
        by: inside(Some(&late.by)),
        because: inside(Some(&late.because)),
        from: inside(late.from.as_deref()),
    }
}

/// A time as recorded; empty if it is not.
fn time(time: &Measured<TimeOfDay>) -> String {
    time.value().map_or_else(String::new, TimeOfDay::clinical)
}

/// As recorded; nothing else in a case shows it.
fn urgency(facts: &Facts) -> &'static str {
    match facts.derived.routine.urgency.get() {
        Some(Urgency::Elective) => "elective",
        Some(Urgency::Emergency) => "emergency",
        None => NOT_RECORDED,
    }
}

fn background(facts: &Facts) -> Background {
    let history = facts.case.history.as_ref();
    let conditions = history.and_then(|history| history.conditions.clone());
    let feet = names_of(
        &facts.derived.foot_history.factors.iter().map(|(_, reason)| reason.clone()).collect::<Vec<_>>(),
        ", ",
    );
    let foot_risk = match &facts.derived.foot_risk {
        _ if facts.derived.diabetes.answer == Answer::No => FootRiskView::default(),
        Value::Known(known) => FootRiskView {
            tier: capitalised(known.value.word()),
            because: known.working.clone(),
            ..FootRiskView::default()
        },
        Value::Unknown(unknown) => FootRiskView {
            not_judged: crate::documents::parts::unknown::reason(unknown),
            ..FootRiskView::default()
        },
    };
    let patient = &facts.case.patient;
    let address = patient.address.join(", ");
    let reached_at: Vec<&str> = [address.as_str(), patient.telephone.as_deref().unwrap_or_default()]
        .into_iter()
        .filter(|part| !part.is_empty())
        .collect();
    Background {
        weight: measured(&patient.weight, ToString::to_string),
        height: measured(&patient.height, ToString::to_string),
        reached_at: reached_at.join("; "),
        allergies: capitalised(&allergies(facts)),
        diabetes: DiabetesView::of(facts).capitalised(),
        conditions: capitalised(&listed(conditions)),
        medicines: Medicines::of(facts),
        feet: if facts.has_diabetes() { String::new() } else { capitalised(&feet) },
        risks: Risks::of(facts),
        foot_risk,
        smokes: facts.derived.smoking.holds(),
        stopped_smoking: history.and_then(|history| history.smoker).is_some_and(Smoker::stopped),
        smoking_is_recorded: facts.derived.smoking.answer != Answer::NotKnown,
        is_pregnant: facts.derived.pregnancy.holds(),
        is_breastfeeding: facts.derived.breastfeeding.holds(),
        is_frail: facts.derived.frailty.holds(),
    }
}

fn toe_tables(facts: &Facts) -> Vec<ToeTable> {
    let tables = facts.treated();
    let tables = tables.chunks(TOES_A_TABLE).map(|toes| ToeTable {
        has_phenol: toes.iter().any(|(_, done)| done.phenol.is_some()),
        has_skin_protection: toes.iter().any(|(_, done)| done.skin_protection.is_some()),
        has_numbness: toes.iter().any(|(_, done)| !done.numb_at.is_missing() || done.feeling_back.is_some()),
        toes: toes.iter().map(|(toe, done)| ToeColumn::of(facts, *toe, done)).collect(),
    });
    tables.collect()
}

impl ToeColumn {
    fn of(facts: &Facts, toe: Toe, done: &OperatedToe) -> ToeColumn {
        let times = facts.derived.toes.get(&toe);
        let lavage = facts.derived.routine.lavage.get(&toe);
        let text = |text: &Option<String>| capitalised(&inside(text.as_deref()));
        ToeColumn {
            name: capitalised(&format!("{} ({toe})", toe.clinical())),
            is_through_infected_skin: done.through_infected_skin == Some(true),
            nail: done
                .nail
                .nail()
                .map_or_else(String::new, |nail| capitalised(&page::part_in_words(nail, &done.edges))),
            agreed_on_day: inside(done.agreed_on_day.as_deref()),
            injections: injections(facts, done),
            injection_site: inside(done.injection_site.as_deref()),
            numb_at: time(&done.numb_at),
            numb_gap: gap(&done.numb_at),
            feeling_back: done.feeling_back.as_ref().map_or_else(FeelingBack::default, |back| FeelingBack {
                is_recorded: true,
                on: back.on.map_or_else(String::new, crate::date::CivilDate::clinical),
                at: time(&back.at),
                at_gap: gap(&back.at),
            }),
            skin_protection: text(&done.skin_protection),
            is_mixed: done.mixed == Some(true),
            is_one_after_the_other: done.mixed == Some(false),
            tourniquet: tourniquet(times, done),
            phenol: phenol(times, done),
            end_point: text(&done.end_point),
            overspill: text(&done.overspill),
            groove_is_recorded: done.groove_clear.is_some(),
            groove_is_clear: done.groove_clear == Some(true),
            lavage: lavage.and_then(Said::get).map_or_else(String::new, |lavage| text(&Some(lavage.clone()))),
            lavage_is_protocol: lavage.is_some_and(Said::is_protocol),
            refill: capitalised(&measured(&done.refill, ToString::to_string)),
        }
    }
}

fn injections(facts: &Facts, done: &OperatedToe) -> Vec<Injection> {
    let only = match facts.derived.agents.as_slice() {
        [only] => Some(only.agent.as_str()),
        _ => None,
    };
    let each = done.injections().into_iter().map(|(_, injection)| Injection {
        at: time(&injection.at),
        at_gap: gap(&injection.at),
        volume: injection.volume.value().map_or_else(String::new, |volume| volume.to_string()),
        volume_gap: gap(&injection.volume),
        agent: injection.agent.as_deref().or(only).unwrap_or_default().to_owned(),
        site: inside(injection.site.as_deref()),
    });
    each.collect()
}

fn tourniquet(times: Option<&ToeTimes>, done: &OperatedToe) -> Tourniquet {
    let Some(tourniquet) = &done.tourniquet else { return Tourniquet::default() };
    let minutes = times.and_then(|times| times.tourniquet_minutes.get());
    Tourniquet {
        is_recorded: true,
        on: time(&tourniquet.on),
        on_gap: gap(&tourniquet.on),
        off: time(&tourniquet.off),
        off_gap: gap(&tourniquet.off),
        minutes: minutes.map_or_else(String::new, ToString::to_string),
        kind: inside(tourniquet.kind.as_deref()),
    }
}

fn phenol(times: Option<&ToeTimes>, done: &OperatedToe) -> Phenol {
    let Some(phenol) = &done.phenol else { return Phenol::default() };
    let total = times.and_then(|times| times.phenol_seconds.get());
    Phenol {
        is_used: true,
        applications: phenol.applications.value().map_or_else(String::new, |count| count.0.to_string()),
        applications_gap: gap(&phenol.applications),
        each: phenol.each.value().map_or_else(String::new, |each| each.to_string()),
        each_gap: gap(&phenol.each),
        is_on_each_edge: phenol.on == Some(PhenolOn::EachEdge),
        is_on_both_together: phenol.on == Some(PhenolOn::BothTogether),
        seconds: total.map_or_else(String::new, |seconds| seconds.normalize().to_string()),
    }
}

fn checks(operation: Option<&Operation>) -> Checks {
    let checks = operation.and_then(|operation| operation.checks.clone()).unwrap_or_default();
    let check = |answer: Option<bool>| Check {
        is_recorded: answer.is_some(),
        is_done: answer == Some(true),
        answer: match answer {
            Some(true) => "yes",
            Some(false) => "NO",
            None => NOT_RECORDED,
        },
    };
    Checks {
        identity: check(checks.identity),
        site_marked: check(checks.site_marked),
        allergies: check(checks.allergies),
        counted: check(checks.counted),
        tourniquet_off: check(checks.tourniquet_off),
        stop_before_block: check(checks.stop_before_block),
        resuscitation: check(checks.resuscitation),
        adrenaline: check(checks.adrenaline),
    }
}

fn supplies(operation: &Operation) -> Vec<Supply> {
    let supply = |item: String, batch: &Measured<String>, expires: &Measured<Expiry>| Supply {
        item: capitalised(&item),
        // As typed: a batch number is not a word.
        batch: match batch.get() {
            Some(batch) => batch.clone(),
            None => capitalised(&measured(batch, String::clone)),
        },
        expires: capitalised(&measured(expires, |expires| expires.clinical())),
    };
    let anaesthetics = operation.anaesthetic.as_ref().map_or_else(Vec::new, OneOrMany::all);
    let anaesthetics = anaesthetics
        .into_iter()
        .map(|(_, agent)| supply(dose::product_name(agent), &agent.batch, &agent.expires));
    let phenol = operation
        .phenol
        .iter()
        .map(|phenol| supply(dose::phenol_name(phenol), &phenol.batch, &phenol.expires));
    let packs = operation.dressing_packs.iter();
    let packs =
        packs.map(|pack| supply(page::without_stop(&pack.item).to_owned(), &pack.batch, &pack.expires));
    anaesthetics.chain(phenol).chain(packs).collect()
}

fn instruments(operation: &Operation) -> Instruments {
    let Some(instruments) = operation.instruments.get() else {
        return Instruments { gap: gap(&operation.instruments), ..Instruments::default() };
    };
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let (tray, cycle) = (text(&instruments.tray), text(&instruments.cycle));
    let single_use_lot = text(&instruments.single_use_lot);
    let is_recorded = [&tray, &cycle, &single_use_lot].iter().any(|part| !part.is_empty());
    Instruments { is_recorded, gap: String::new(), tray, cycle, single_use_lot }
}

fn outcome(facts: &Facts, operation: &Operation) -> Outcome {
    let protocol = &facts.clinic.protocol;
    let routine = &facts.derived.routine;
    let words = |said: &Said<String>| said.get().map(String::as_str).unwrap_or_default().to_owned();
    let skin = words(&routine.skin_preparation);
    let of_unnamed_kind =
        |done: &OperatedToe| done.tourniquet.as_ref().is_some_and(|tourniquet| tourniquet.kind.is_none());
    let needs_kind = facts.treated().iter().any(|(_, done)| of_unnamed_kind(done));
    let tourniquet = protocol.tourniquet.as_deref().filter(|_| needs_kind);
    Outcome {
        findings: capitalised(&findings(facts, operation)),
        complications: alone(operation.complications.as_deref()),
        tissue: tissue(facts),
        specimens: inside(operation.specimens.as_deref()),
        skin_preparation: capitalised(&inside(Some(skin.as_str()).filter(|skin| !skin.is_empty()))),
        skin_preparation_is_protocol: routine.skin_preparation.is_protocol(),
        tourniquet: capitalised(&inside(tourniquet)),
        dressing_is_protocol: routine.dressing.is_protocol(),
        dressing: alone(routine.dressing.get().map(String::as_str)),
        discharge: alone(operation.discharge.as_deref()),
        times_corrected: operation.times_corrected.iter().map(|line| inside(Some(line))).collect(),
        blood_loss: alone(operation.blood_loss.as_deref()),
        haemostasis: capitalised(&inside(operation.haemostasis.as_deref())),
        antibiotics: alone(routine.antibiotics.get().map(String::as_str)),
        antibiotics_is_protocol: routine.antibiotics.is_protocol(),
        vte_prophylaxis: alone(routine.vte_prophylaxis.get().map(String::as_str)),
        vte_prophylaxis_is_protocol: routine.vte_prophylaxis.is_protocol(),
        note: capitalised(operation.note.as_deref().unwrap_or_default()),
    }
}

/// What was found at operation, then toe by toe: `L1: not quite numb at first`; empty if nothing.
fn findings(facts: &Facts, operation: &Operation) -> String {
    let toes = facts.treated();
    let each = toes
        .iter()
        .filter_map(|(toe, done)| Some(format!("{toe}: {}", page::without_stop(done.findings.as_ref()?))));
    let own = operation.findings.as_deref().map(|own| page::without_stop(own).to_owned());
    own.into_iter().chain(each).collect::<Vec<_>>().join("; ")
}

fn tissue(facts: &Facts) -> Tissue {
    let with = |nail: Nail| facts.operated().into_iter().filter(move |(_, done)| done.nail == nail);
    let toes = |nail: Nail| List::and(with(nail).map(|(toe, _)| toe)).to_string();
    Tissue {
        strips: toes(Nail::Partial),
        // A toe of which both edges were removed gives two strips.
        has_several_strips: with(Nail::Partial).map(|(_, done)| done.edges.len()).sum::<usize>() > 1,
        nails: toes(Nail::Total),
        has_several_nails: with(Nail::Total).count() > 1,
    }
}

fn not_done(facts: &Facts, operation: &Operation) -> Vec<NotDone> {
    let Some(toes) = &operation.not_done else { return Vec::new() };
    let planned = facts.planned();
    let each = toes.iter().map(|(toe, reason)| NotDone {
        toe: match planned.iter().find(|(other, _)| *other == toe) {
            Some((_, plan)) => toe_in_words(toe, plan.nail, &plan.edges),
            None => format!("{} ({toe})", toe.clinical()),
        },
        reason: page::without_stop(reason).to_owned(),
    });
    each.collect()
}

fn cautions(edition: &Edition) -> Vec<Caution> {
    let mut all: Vec<Caution> = Vec::new();
    // What an incident answers stands with the incident.
    for answered in edition.answered.iter().filter(|answered| answered.incident.is_none()) {
        let because = page::without_stop(&answered.because).to_owned();
        // On paper with the apostrophe of print, as in the templates.
        let title = capitalised(&answered.title).replace('\'', "’");
        let same = |known: &&mut Caution| {
            known.title == title && known.because == because && known.by == answered.by
        };
        match all.iter_mut().find(same) {
            Some(known) => known.says.push(answered.says.clone()),
            None => all.push(Caution {
                title,
                says: vec![capitalised(&answered.says)],
                because,
                by: answered.by.clone(),
            }),
        }
    }
    all
}

fn codes(facts: &Facts) -> Codes {
    let known = match &facts.derived.codes {
        Value::Known(known) => &known.value,
        Value::Unknown(unknown) => {
            return Codes { systems: Vec::new(), unknown: crate::documents::parts::unknown::reason(unknown) };
        }
    };
    let mut systems: Vec<CodeSystem> = Vec::new();
    for code in known {
        let view = CodeView { code: code.code, title: code.title };
        match systems.iter_mut().find(|system| system.name == code.system) {
            Some(system) => system.codes.push(view),
            None => systems.push(CodeSystem { name: code.system, codes: vec![view] }),
        }
    }
    Codes { systems, unknown: String::new() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::documents::AnsweredCaution;
    use crate::rules::example::facts_of;

    fn toe(facts: &Facts) -> ToeColumn {
        toe_tables(facts).remove(0).toes.remove(0)
    }

    fn operation(facts: &Facts) -> &Operation {
        facts.case.operation.as_ref().expect("the base case has one")
    }

    /// The view of a first issue.
    fn composed(fragment: &str) -> serde_json::Value {
        let edition = Edition::first(crate::date::CivilDate::of(2026, 11, 25).expect("a literal date"));
        view(&facts_of(fragment), &edition)
    }

    #[test]
    fn it_needs_an_operation() {
        assert_eq!(missing(&facts_of("")), []);
        assert_eq!(missing(&facts_of("operation: ~")), [Path::from("operation")]);
    }

    #[test]
    fn what_may_be_noted_stands_there_only_where_it_was() {
        let keys = ["aspiration", "block_test", "counted_by", "daily_life"];
        let before = composed("");
        for key in keys {
            assert_eq!(before[key], "", "{key}");
        }
        assert_eq!(before["outcome"]["haemostasis"], "");
        let noted = composed(
            "{patient: {daily_life: walks dogs.}, operation: {aspiration: negative, block_test: pinprick, \
              counted_by: quill, haemostasis: dry with pressure}}",
        );
        assert_eq!(keys.map(|key| noted[key].clone()), ["Negative", "Pinprick", "Robin Quill", "Walks dogs"]);
        assert_eq!(noted["outcome"]["haemostasis"], "Dry with pressure");
        let stranger = composed("operation: {counted_by: T. Sorrel}");
        assert_eq!(stranger["counted_by"], "T. Sorrel", "somebody who is not in the clinic file");
    }

    #[test]
    fn what_is_not_recorded_is_said_not_filled_in() {
        let facts = facts_of(
            "operation: {toes: {L1: {tourniquet: {off: ~}, lavage: ~, refill: ~, groove_clear: ~, injected: ~, \
             end_point: ~, overspill: ~}}}",
        );
        let bare = toe(&facts);
        assert_eq!((bare.tourniquet.on.as_str(), bare.tourniquet.off.as_str()), ("09:50", ""));
        assert!([&bare.lavage, &bare.end_point, &bare.overspill].iter().all(|text| text.is_empty()));
        assert_eq!(bare.refill, "Not recorded");
        assert!(bare.injections.is_empty() && !bare.groove_is_recorded);
        let bare = facts_of(
            "operation: {checks: ~, instruments: ~, phenol: {batch: ~, expires: ~}, blood_loss: ~, urgency: ~}",
        );
        let forgotten = Check { is_recorded: false, is_done: false, answer: NOT_RECORDED };
        let checks = checks(Some(operation(&bare)));
        assert_eq!([&checks.identity, &checks.counted, &checks.tourniquet_off], [&forgotten; 3]);
        let values: Vec<[String; 3]> = supplies(operation(&bare))
            .into_iter()
            .map(|supply| [supply.item, supply.batch, supply.expires])
            .collect();
        assert_eq!(
            values,
            [["Mepivacaine 3 %", "M4417", "Aug-2027"], ["Phenol 89 %", "Not recorded", "Not recorded"]]
        );
        assert_eq!(instruments(operation(&bare)), Instruments::default());
        assert_eq!(urgency(&bare), NOT_RECORDED);
        assert_eq!(outcome(&bare, operation(&bare)).blood_loss, "Not recorded");
    }

    #[test]
    fn packs_and_the_label_of_the_phenol_are_supplies() {
        let facts = facts_of(
            "operation: {phenol: {form: single-use swab, product: Liquefied Phenol BP., manufacturer: Marrick}, \
             dressing_packs: [{item: alginate, batch: D77, expires: 2027-01}, {item: gauze}]}",
        );
        let all: Vec<[String; 3]> = supplies(operation(&facts))
            .into_iter()
            .map(|supply| [supply.item, supply.batch, supply.expires])
            .collect();
        assert_eq!(all[1][0], "Phenol 89 %, single-use swab, Liquefied Phenol BP, Marrick");
        assert_eq!(all[2], ["Alginate", "D77", "Jan-2027"]);
        assert_eq!(all[3], ["Gauze", "Not recorded", "Not recorded"]);
    }

    #[test]
    fn numbness_and_the_sites_of_the_needle_stand_with_the_toe() {
        let facts = facts_of(
            "operation: {toes: {L1: {injected: [{volume: 1.1 ml, site: medial}, {volume: 1.1 ml, site: lateral.}], \
             injection_site: base of the toe, numb_at: \"09:45\", skin_protection: petroleum jelly, \
             feeling_back: {on: 2026-11-25, at: \"07:30\"}}}}",
        );
        let table = toe_tables(&facts).remove(0);
        assert!(table.has_numbness && table.has_skin_protection);
        let toe = &table.toes[0];
        assert_eq!([&toe.injections[0].site, &toe.injections[1].site], ["medial", "lateral"]);
        assert_eq!(
            [&toe.injection_site, &toe.numb_at, &toe.skin_protection],
            ["base of the toe", "09:45", "Petroleum jelly"]
        );
        assert_eq!([&toe.feeling_back.on, &toe.feeling_back.at], ["25-Nov-2026", "07:30"]);
        let bare = toe_tables(&facts_of("")).remove(0);
        assert!(!bare.has_numbness && !bare.has_skin_protection);
    }

    #[test]
    fn a_check_that_failed_is_not_one_that_was_forgotten() {
        let facts = facts_of("operation: {checks: {counted: false, allergies: ~}}");
        let checks = checks(facts.case.operation.as_ref());
        assert_eq!(checks.identity.answer, "yes");
        assert_eq!((checks.allergies.answer, checks.counted.answer), (NOT_RECORDED, "NO"));
    }

    #[test]
    fn three_toes_stand_side_by_side_and_the_fourth_below() {
        let toe = "{nail: total}";
        let heads = |toes: &str| -> Vec<usize> {
            let facts = facts_of(&format!("operation: {{toes: {{L1: ~, {toes}}}}}"));
            toe_tables(&facts).iter().map(|table| table.toes.len()).collect()
        };
        assert_eq!(heads(&format!("R1: {toe}, R2: {toe}, R3: {toe}")), [3]);
        assert_eq!(heads(&format!("R1: {toe}, R2: {toe}, R3: {toe}, L2: {toe}")), [3, 1]);
    }

    #[test]
    fn a_late_entry_says_when_why_and_from_what() {
        let facts = facts_of(
            "operation: {late_entry: {written: 2026-11-25, at: \"08:10\", by: R. Quill, because: no power., \
             from: notes on paper}}",
        );
        let late = late_entry(operation(&facts));
        assert_eq!(
            [late.written, late.by, late.because, late.from],
            ["25-Nov-2026, 08:10", "R. Quill", "no power", "notes on paper"]
        );
        assert!(late_entry(operation(&facts_of(""))).written.is_empty());
    }

    #[test]
    fn a_gap_is_printed_with_its_reason() {
        let gap = "{not_recorded: clock stopped}";
        let facts = facts_of(&format!(
            "operation: {{start: {gap}, instruments: {gap}, phenol: {{batch: {gap}, expires: {gap}}}, \
             toes: {{L1: {{at: {gap}, injected: {gap}, tourniquet: {{on: {gap}, off: {gap}}}, \
             phenol: {{applications: {gap}, each: {gap}}}, refill: {gap}}}}}}}"
        ));
        let why = "clock stopped";
        let toe = toe(&facts);
        assert_eq!(toe.refill, "Not recorded: clock stopped");
        assert_eq!([&toe.tourniquet.on_gap, &toe.tourniquet.off_gap, &toe.injections[0].at_gap], [why; 3]);
        assert_eq!(
            [&toe.injections[0].volume_gap, &toe.phenol.applications_gap, &toe.phenol.each_gap],
            [why; 3]
        );
        let when = when(&facts, operation(&facts));
        assert_eq!((when.start.as_str(), when.start_gap.as_str(), when.minutes.as_str()), ("", why, ""));
        let supplies = supplies(operation(&facts));
        assert_eq!(supplies[1].batch, "Not recorded: clock stopped");
        assert_eq!(supplies[1].expires, "Not recorded: clock stopped");
        assert_eq!(instruments(operation(&facts)).gap, why);
    }

    #[test]
    fn urgency_is_said_only_where_it_is_recorded() {
        let said = |fragment: &str| urgency(&facts_of(fragment));
        assert_eq!(said("operation: {urgency: elective}"), "elective");
        assert_eq!(said("operation: {urgency: emergency}"), "emergency");
    }

    #[test]
    fn both_edges_of_one_toe_are_two_strips() {
        let said = |fragment: &str| tissue(&facts_of(fragment));
        assert!(!said("").has_several_strips);
        let both = said("operation: {toes: {L1: {edges: [medial, lateral]}}}");
        assert_eq!((both.strips.as_str(), both.has_several_strips), ("L1", true));
        let mixed = said("operation: {toes: {R2: {nail: total}}}");
        assert_eq!((mixed.nails.as_str(), mixed.has_several_nails), ("R2", false));
    }

    #[test]
    fn one_answer_to_two_feet_is_one_caution() {
        let answered = |says: &str, because: &str| AnsweredCaution {
            concerns_the_practice: false,
            title: "sensation of a foot is reduced".into(),
            says: says.into(),
            because: because.into(),
            by: "Robin Quill".into(),
            incident: None,
        };
        let edition = Edition {
            is_draft: false,
            version: 1,
            made_on: crate::date::CivilDate::of(2026, 11, 25).expect("a literal date"),
            replaces: None,
            answered: vec![
                answered("right: 9 of 10", "told."),
                answered("left: 8", "told."),
                answered("left: 8", "other"),
            ],
            open: Vec::new(),
        };
        let cautions = cautions(&edition);
        assert_eq!(cautions.len(), 2);
        assert_eq!(cautions[0].says, ["Right: 9 of 10", "left: 8"]);
        assert_eq!(cautions[0].because, "told");
    }
}
