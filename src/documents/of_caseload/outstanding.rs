//! The list of what is outstanding: documents that were issued and have not gone, documents that are held
//! back or not issued yet, and visits that are due, overdue or were missed.
//!
//! What has gone is what the register says; what is due is what the case says. Nothing is judged here.

use serde::Serialize;
use serde_json::Value as Json;

use super::{Line, List};
use crate::clinical::thresholds::Threshold;
use crate::date::CivilDate;
use crate::documents::page::{self, with_list_page};
use crate::documents::{document, goes_to, ready_papers};
use crate::facts::{Caseload, Facts, LastVersion, OneCase};
use crate::words::capitalised;

/// The list.
pub(crate) static LIST: List = List {
    name: "outstanding-list",
    title: "Outstanding",
    template: "outstanding-list/main.typ",
    is_across: true,
    names_cases: true,
    view: |caseload| view(&caseload.with_rows(|one| Row::of(&one))),
};

/// Days ahead for which visits are listed.
pub(crate) const DAYS_AHEAD: u64 = 7;

/// What is outstanding of one case.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    who: Who,
    to_send: Vec<ToSend>,
    waiting: Vec<Waiting>,
    visit: Option<VisitDue>,
    results: Vec<Awaited>,
    /// Nobody is recorded to whom the letter could go.
    has_no_practice: bool,
}

/// Whose it is.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub(crate) struct Who {
    /// The case.
    pub(crate) reference: String,
    /// `HOLLIS, Imogen (Ms)`.
    pub(crate) name: String,
    /// `09-Feb-1984`.
    pub(crate) born: String,
    /// `999 000 0018`, or `not known`.
    pub(crate) nhs_number: String,
    /// Another nation's number with its label, where no NHS number is known: `CHI No. 010101 1237`.
    pub(crate) other_number: String,
}

/// A version that was issued and has not gone to somebody.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ToSend {
    /// Whose.
    #[serde(flatten)]
    pub(crate) who: Who,
    /// To whom: `gp`, `patient`.
    pub(crate) to: &'static str,
    /// The practice, the patient, or that no practice is recorded.
    pub(crate) recipient: String,
    /// The document: `gp-letter`, `visit-letter/2026-12-04`.
    pub(crate) document: String,
    /// Its title: `GP letter`.
    pub(crate) title: String,
    /// The version.
    pub(crate) version: u32,
    /// The day of issue.
    pub(crate) issued: CivilDate,
    /// Days since then.
    pub(crate) days: i64,
    /// An earlier version has gone: which, and when.
    pub(crate) before: String,
    /// Days in which a letter goes that asks the practice for something, where that time has passed.
    pub(crate) is_late: bool,
    /// The PDF, below the folder of the register.
    pub(crate) file: String,
}

/// A document that is ready and was not issued.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Waiting {
    /// Whose.
    #[serde(flatten)]
    pub(crate) who: Who,
    /// The document.
    pub(crate) document: String,
    /// Its title.
    pub(crate) title: String,
    /// What holds it; empty if nothing does.
    pub(crate) held_by: Vec<String>,
}

/// A swab or tissue that was sent and of which no result is recorded.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Awaited {
    /// Whose.
    #[serde(flatten)]
    pub(crate) who: Who,
    /// The day on which it was taken.
    pub(crate) on: CivilDate,
    /// Days since.
    pub(crate) days: i64,
    /// `Nail bed of L1, for histology`, as typed; empty for the swab of a visit.
    pub(crate) what: String,
    /// The laboratory's number, or where it was sent; may be empty.
    pub(crate) lab: String,
    /// Who acts on the result, by name; may be empty.
    pub(crate) acts: String,
}

/// A visit that is due or overdue.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct VisitDue {
    /// Whose.
    #[serde(flatten)]
    pub(crate) who: Who,
    /// The day.
    pub(crate) on: CivilDate,
    /// The time, where it is booked.
    pub(crate) at: String,
    /// What for.
    pub(crate) purpose: String,
    /// It stands in the case file; otherwise it follows from the clinic's protocol.
    pub(crate) is_booked: bool,
    /// Its day has passed.
    pub(crate) is_overdue: bool,
    /// How many visits the patient did not come to.
    pub(crate) missed: usize,
    /// The upper end of the usual weeks has passed and not every toe is recorded as healed.
    pub(crate) should_be_healed: bool,
}

/// The rows of the list, sorted.
#[derive(Debug, Default, Serialize)]
pub(crate) struct Outstanding<'a> {
    /// What has to go, recipient by recipient, the one who has waited longest first.
    pub(crate) to_send: Vec<&'a ToSend>,
    /// What is ready and free.
    pub(crate) not_issued: Vec<&'a Waiting>,
    /// What is held.
    pub(crate) held: Vec<&'a Waiting>,
    /// Visits in the order of their days.
    pub(crate) visits: Vec<&'a VisitDue>,
    /// Results that are awaited, the one that has been awaited longest first.
    pub(crate) results: Vec<&'a Awaited>,
    /// Those of whom no practice is recorded and who were operated on.
    pub(crate) no_practice: Vec<&'a Who>,
}

impl Row {
    /// What is outstanding of a case; `None` if nothing is.
    pub(crate) fn of(one: &OneCase<'_>) -> Option<Row> {
        let facts = one.facts;
        let who = Who::of(facts);
        let to_send = one.issued.iter().flat_map(|last| to_send(&who, facts, last)).collect();
        let waiting = waiting(&who, one);
        let visit = visit(&who, facts);
        let has_no_practice = facts.case.operation.is_some() && facts.gp().is_none();
        let results = awaited(&who, facts);
        let row = Row { who, to_send, waiting, visit, results, has_no_practice };
        let is_empty =
            row.to_send.is_empty() && row.waiting.is_empty() && row.visit.is_none() && row.results.is_empty();
        (!is_empty || has_no_practice).then_some(row)
    }
}

impl Row {
    /// What was issued of the case and has not gone.
    pub(crate) fn to_send(&self) -> &[ToSend] {
        &self.to_send
    }
}

impl Outstanding<'_> {
    /// How many lines it has.
    pub(crate) fn lines(&self) -> usize {
        let documents = self.to_send.len() + self.not_issued.len() + self.held.len();
        documents + self.visits.len() + self.results.len() + self.no_practice.len()
    }
}

impl ToSend {
    /// The reference and the document.
    pub(crate) fn key(&self) -> (String, String) {
        (self.who.reference.clone(), self.document.clone())
    }
}

impl Who {
    /// Whose case it is.
    pub(crate) fn of(facts: &Facts) -> Who {
        Who {
            reference: facts.case.reference.to_string(),
            name: page::banner_name(facts),
            born: facts.case.patient.born.clinical(),
            nhs_number: facts
                .derived
                .nhs_number
                .get()
                .map_or_else(|| page::NOT_KNOWN.to_owned(), String::clone),
            other_number: other_number(facts),
        }
    }
}

fn other_number(facts: &Facts) -> String {
    let known = facts.derived.patient_numbers.iter().find_map(|one| Some((one, one.number.get()?)));
    match known {
        Some((one, number)) if one.key != "nhs_number" => format!("{} {number}", one.label),
        _ => String::new(),
    }
}

fn to_send(who: &Who, facts: &Facts, last: &LastVersion) -> Vec<ToSend> {
    let has_gone =
        |to: &str| last.gone.iter().any(|gone| gone.to == to || (to == "patient" && gone.to == "guardian"));
    let days = last.issued.days_until(facts.today);
    let each = goes_to(&last.document).iter().filter(|to| !has_gone(to)).map(|to| {
        let recipient = match (*to, facts.gp()) {
            ("gp", Some(gp)) => gp.practice.clone(),
            ("gp", None) => "no practice recorded".to_owned(),
            _ => "the patient".to_owned(),
        };
        let before = last
            .gone_before
            .map_or_else(String::new, |(version, on)| format!("version {version} went on {}", on.clinical()));
        ToSend {
            who: who.clone(),
            to,
            recipient,
            document: last.document.clone(),
            title: title_of(&last.document),
            version: last.version,
            issued: last.issued,
            days,
            before,
            is_late: *to == "gp" && days > i64::from(Threshold::LetterToPractice.whole()),
            file: last.file.clone(),
        }
    });
    each.collect()
}

/// `Visit letter of 04-Dec-2026`.
pub(crate) fn title_of(name: &str) -> String {
    let mut parts = name.split('/');
    let kind = parts.next().unwrap_or_default();
    let title = document(kind).map_or_else(|| kind.to_owned(), |document| document.title.to_owned());
    let on = parts.next().and_then(|day| <CivilDate as crate::units::TextValue>::parse(day).ok());
    on.map_or(title.clone(), |on| format!("{title} of {}", on.clinical()))
}

fn waiting(who: &Who, one: &OneCase<'_>) -> Vec<Waiting> {
    let mut papers = ready_papers(one.facts)
        .filter(|paper| !one.issued.iter().any(|last| last.document == paper.name()))
        .peekable();
    if papers.peek().is_none() {
        return Vec::new();
    }
    let open = (one.open)();
    papers
        .map(|paper| {
            let holds = open.iter().filter(|open| open.holds.contains(&paper.document.name));
            let mut held_by: Vec<String> = Vec::new();
            for open in holds {
                if !held_by.contains(&open.title) {
                    held_by.push(open.title.clone());
                }
            }
            let document = paper.name();
            Waiting { who: who.clone(), title: title_of(&document), document, held_by }
        })
        .collect()
}

fn visit(who: &Who, facts: &Facts) -> Option<VisitDue> {
    let course = &facts.derived.course;
    let next = course.next.as_ref()?;
    if next.on > facts.today.plus_days(DAYS_AHEAD) {
        return None;
    }
    let is_open = course.toes.iter().any(|toe| toe.healed.is_none());
    let expected = facts.derived.expected_healing.get().map(|healing| healing.to);
    Some(VisitDue {
        who: who.clone(),
        on: next.on,
        at: next.at.map_or_else(String::new, crate::date::TimeOfDay::clinical),
        purpose: next.purpose.clone(),
        is_booked: next.is_booked,
        is_overdue: next.is_overdue,
        missed: course.missed,
        should_be_healed: is_open && expected.is_some_and(|expected| expected < facts.today),
    })
}

/// What was sent at the operation or at a visit and has no result yet.
fn awaited(who: &Who, facts: &Facts) -> Vec<Awaited> {
    let is_blank = |text: &Option<String>| text.as_deref().is_none_or(|text| text.trim().is_empty());
    let one = |on: CivilDate, what: &str, lab: &Option<String>, acts: &Option<String>| Awaited {
        who: who.clone(),
        on,
        days: on.days_until(facts.today),
        what: capitalised(page::without_stop(what)),
        lab: page::without_stop(lab.as_deref().unwrap_or_default()).to_owned(),
        acts: page::name_of(facts, acts.as_deref().unwrap_or_default()),
    };
    let operation = facts.case.operation.iter();
    let samples = operation.flat_map(|done| done.samples.iter().map(|sample| (done.date, sample)));
    let samples = samples
        .filter(|(_, sample)| is_blank(&sample.result))
        .map(|(on, sample)| one(on, &sample.what, &sample.lab, &sample.acts));
    let swabs = facts.case.visits.iter().filter_map(|visit| Some((visit.on, visit.swab.as_ref()?)));
    let swabs =
        swabs.filter(|(_, swab)| is_blank(&swab.result)).map(|(on, swab)| one(on, "", &swab.lab, &swab.acts));
    samples.chain(swabs).collect()
}

/// The rows, sorted.
pub(crate) fn sorted(caseload: &Caseload<Row>) -> Outstanding<'_> {
    let rows = &caseload.rows;
    let mut to_send: Vec<&ToSend> = rows.iter().flat_map(|row| &row.to_send).collect();
    // Practices whose letter has waited longest come first; the letters of one practice stand together.
    let longest = |recipient: &str, to: &str| {
        let of = rows.iter().flat_map(|row| &row.to_send);
        of.filter(|one| one.recipient == recipient && one.to == to).map(|one| one.days).max()
    };
    let mut waits = std::collections::BTreeMap::new();
    for one in &to_send {
        waits
            .entry((one.recipient.clone(), one.to))
            .or_insert_with(|| longest(&one.recipient, one.to).unwrap_or(0));
    }
    to_send.sort_by_cached_key(|one| {
        let wait = waits.get(&(one.recipient.clone(), one.to)).copied().unwrap_or(0);
        (
            std::cmp::Reverse(wait),
            one.recipient.clone(),
            std::cmp::Reverse(one.days),
            one.who.reference.clone(),
            one.document.clone(),
        )
    });
    let mut waiting: Vec<&Waiting> = rows.iter().flat_map(|row| &row.waiting).collect();
    waiting.sort_by(|one, other| {
        (&one.who.reference, &one.document).cmp(&(&other.who.reference, &other.document))
    });
    let (held, not_issued) = waiting.into_iter().partition(|waiting| !waiting.held_by.is_empty());
    let mut visits: Vec<&VisitDue> = rows.iter().filter_map(|row| row.visit.as_ref()).collect();
    visits.sort_by(|one, other| (one.on, &one.at, &one.who).cmp(&(other.on, &other.at, &other.who)));
    let mut no_practice: Vec<&Who> =
        rows.iter().filter(|row| row.has_no_practice).map(|row| &row.who).collect();
    no_practice.sort();
    let mut results: Vec<&Awaited> = rows.iter().flat_map(|row| &row.results).collect();
    results.sort_by(|one, other| (one.on, &one.who).cmp(&(other.on, &other.who)));
    Outstanding { to_send, not_issued, held, visits, results, no_practice }
}

#[derive(Debug, Serialize)]
struct View {
    to_send: Vec<Recipient>,
    count: String,
    not_issued: Vec<Line<CaseView>>,
    held: Vec<Line<CaseView>>,
    visits: Vec<Line<VisitView>>,
    results: Vec<Line<AwaitedView>>,
    no_practice: Vec<Line<Who>>,
    late_after: String,
    days_ahead: String,
}

#[derive(Debug, Serialize)]
struct Recipient {
    recipient: String,
    items: Vec<Line<ItemView>>,
}

#[derive(Debug, Serialize)]
struct ItemView {
    #[serde(flatten)]
    who: Who,
    title: String,
    version: String,
    issued: String,
    days: String,
    before: String,
    is_late: bool,
}

/// The documents of one case.
#[derive(Debug, Serialize)]
struct CaseView {
    #[serde(flatten)]
    who: Who,
    documents: Vec<String>,
    held_by: Vec<String>,
}

#[derive(Debug, Serialize)]
struct VisitView {
    #[serde(flatten)]
    who: Who,
    on: String,
    at: String,
    purpose: String,
    is_booked: bool,
    is_overdue: bool,
    missed: String,
    should_be_healed: bool,
}

#[derive(Debug, Serialize)]
struct AwaitedView {
    #[serde(flatten)]
    who: Who,
    on: String,
    days: String,
    what: String,
    lab: String,
    acts: String,
}

/// The view.
pub(crate) fn view(caseload: &Caseload<Row>) -> Json {
    let all = sorted(caseload);
    let mut to_send: Vec<Recipient> = Vec::new();
    for one in &all.to_send {
        let item = Line::of(ItemView {
            who: one.who.clone(),
            title: one.title.clone(),
            version: one.version.to_string(),
            issued: one.issued.clinical(),
            days: one.days.to_string(),
            before: one.before.clone(),
            is_late: one.is_late,
        });
        match to_send.last_mut().filter(|last| last.recipient == one.recipient) {
            Some(last) => last.items.push(item),
            None => to_send.push(Recipient { recipient: one.recipient.clone(), items: vec![item] }),
        }
    }
    let visits = all.visits.iter().map(|visit| VisitView {
        who: visit.who.clone(),
        on: visit.on.clinical(),
        at: visit.at.clone(),
        purpose: visit.purpose.clone(),
        is_booked: visit.is_booked,
        is_overdue: visit.is_overdue,
        missed: if visit.missed == 0 { String::new() } else { visit.missed.to_string() },
        should_be_healed: visit.should_be_healed,
    });
    let results = all.results.iter().map(|one| AwaitedView {
        who: one.who.clone(),
        on: one.on.clinical(),
        days: one.days.to_string(),
        what: one.what.clone(),
        lab: one.lab.clone(),
        acts: one.acts.clone(),
    });
    let own = View {
        count: all.to_send.len().to_string(),
        to_send,
        not_issued: by_case(&all.not_issued),
        held: by_case(&all.held),
        visits: visits.map(Line::of).collect(),
        results: results.map(Line::of).collect(),
        no_practice: all.no_practice.iter().map(|who| Line::of((*who).clone())).collect(),
        late_after: Threshold::LetterToPractice.whole().to_string(),
        days_ahead: DAYS_AHEAD.to_string(),
    };
    with_list_page(caseload, &LIST, caseload.today.long_with_day(), false, &own)
}

/// The waiting documents of each case in one line; what holds several is said once.
fn by_case(waiting: &[&Waiting]) -> Vec<Line<CaseView>> {
    let mut cases: Vec<CaseView> = Vec::new();
    for one in waiting {
        let is_new = cases.last().is_none_or(|last| last.who != one.who);
        if is_new {
            cases.push(CaseView { who: one.who.clone(), documents: Vec::new(), held_by: Vec::new() });
        }
        if let Some(last) = cases.last_mut() {
            last.documents.push(one.title.clone());
            for held in &one.held_by {
                if !last.held_by.contains(held) {
                    last.held_by.push(held.clone());
                }
            }
        }
    }
    cases.into_iter().map(Line::of).collect()
}
