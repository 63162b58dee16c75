//! The outcomes of many operations: what is counted of which, with every toe of which nothing is known
//! counted as that and never taken for success.
//!
//! Rows come in, counts go out: no name, no word for paper, no file.

mod indicator;
mod row;

use std::collections::{BTreeMap, BTreeSet};

pub(crate) use indicator::{Answer, Asks, INDICATORS, Indicator, Unit, indicator};
pub(crate) use row::{Letter, Person, Row, ToeRow};

use crate::anatomy::Nail;
use crate::clinical::{Outcome, outcome};
use crate::date::CivilDate;
use crate::statistics::{Curve, Fraction, Observation, Proportion, RunChart};

/// From the first day of surgery to the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Period {
    /// The first day.
    pub(crate) from: CivilDate,
    /// The last day.
    pub(crate) to: CivilDate,
}

impl Period {
    fn holds(self, day: CivilDate) -> bool {
        self.from <= day && day <= self.to
    }
}

/// How often each answer was given.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Counts {
    /// It is so.
    pub(crate) yes: u32,
    /// It is not so.
    pub(crate) no: u32,
    /// Nothing says.
    pub(crate) not_recorded: u32,
    /// The patient could not be reached.
    pub(crate) lost: u32,
    /// The time has not passed.
    pub(crate) not_yet: u32,
}

impl Counts {
    fn add(&mut self, answer: Answer) {
        let count = match answer {
            Answer::Yes => &mut self.yes,
            Answer::No => &mut self.no,
            Answer::NotRecorded => &mut self.not_recorded,
            Answer::Lost => &mut self.lost,
            Answer::NotYet => &mut self.not_yet,
            Answer::NotAsked => return,
        };
        *count += 1;
    }

    /// Of those of whom it is known: how many.
    pub(crate) fn proportion(&self) -> Proportion {
        Proportion::new(self.yes, self.yes + self.no)
            .unwrap_or_else(|| unreachable!("a part is no more than the whole"))
    }
}

/// One line of the first page.
#[derive(Debug, Clone)]
pub(crate) struct Line {
    /// What was asked.
    pub(crate) indicator: &'static Indicator,
    /// By its own unit: toes or operations.
    pub(crate) counts: Counts,
    /// By patient, for what is counted by toe: so if it is so of any of their toes.
    pub(crate) by_patient: Option<Counts>,
    /// What others have published.
    pub(crate) published: Option<&'static Outcome>,
}

/// By what operations are grouped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum By {
    Technique,
    Agent,
    Age,
    Operator,
}

impl By {
    /// Every one, in the order of the page.
    pub(crate) const ALL: [By; 4] = [By::Technique, By::Agent, By::Age, By::Operator];

    /// `technique`, `agent`, `age`, `operator`.
    pub(crate) fn key(self) -> &'static str {
        match self {
            By::Technique => "technique",
            By::Agent => "agent",
            By::Age => "age",
            By::Operator => "operator",
        }
    }
}

/// What is shown of a group.
pub(crate) const OF_GROUPS: [&str; 3] = ["infection", "healed", "regrowth-that-hurts"];

/// One group.
#[derive(Debug, Clone)]
pub(crate) struct Group {
    /// By what.
    pub(crate) by: By,
    /// Its name as recorded, or a key that the template words: `partial-phenol`, `under-12`; empty if it is not
    /// recorded.
    pub(crate) name: String,
    /// Toes in it.
    pub(crate) toes: u32,
    /// The counts of [`OF_GROUPS`].
    pub(crate) counts: [Counts; 3],
}

/// A month of surgery.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Month {
    /// Its first day.
    pub(crate) first: CivilDate,
    /// Toes operated on.
    pub(crate) toes: u32,
    /// Of these, how many were healed in time.
    pub(crate) healed: Counts,
}

/// How long the toes were followed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct FollowUp {
    /// Toes of which nothing was recorded after surgery.
    pub(crate) never_seen: u32,
    /// Toes of cases that were closed as lost.
    pub(crate) lost: u32,
}

/// The outcomes of the operations of a period.
#[derive(Debug, Clone)]
pub(crate) struct Audit {
    /// The period.
    pub(crate) period: Period,
    /// What was recorded up to this day counts.
    pub(crate) today: CivilDate,
    /// The operations, by day and reference.
    pub(crate) rows: Vec<Row>,
    /// How many patients.
    pub(crate) patients: u32,
    /// How many toes.
    pub(crate) toes: u32,
    /// The first page.
    pub(crate) lines: Vec<Line>,
    /// The second.
    pub(crate) groups: Vec<Group>,
    /// Time to healing, in days: toes that were not seen healed are followed to the last day on which anything
    /// was recorded of them.
    pub(crate) healing: Curve,
    /// Healed in time, by month of surgery: every month of the period.
    pub(crate) months: Vec<Month>,
    /// The same as a run chart; `None` if there is no number.
    pub(crate) run_chart: Option<RunChart>,
    /// How long the toes were followed.
    pub(crate) follow_up: FollowUp,
    /// Days of follow-up of each toe: from surgery to the last day on which anything was recorded of it.
    pub(crate) followed_days: Vec<u32>,
}

impl Audit {
    /// Counts the operations of a period.
    pub(crate) fn of(rows: impl IntoIterator<Item = Row>, period: Period, today: CivilDate) -> Audit {
        let mut rows: Vec<Row> = rows.into_iter().filter(|row| period.holds(row.operated)).collect();
        rows.sort_by(|one, other| (one.operated, &one.reference).cmp(&(other.operated, &other.reference)));
        let months = months(&rows, period, today);
        let points: Vec<Option<Fraction>> = months
            .iter()
            .map(|month| Fraction::new(month.healed.yes, month.healed.yes + month.healed.no))
            .collect();
        let all_toes = || rows.iter().flat_map(|row| row.toes.iter().map(move |toe| (row, toe)));
        let lost = |row: &Row| row.closed == Some(crate::case::ClosedBecause::Lost);
        let follow_up = FollowUp {
            never_seen: count(all_toes().filter(|(_, toe)| toe.last_seen.is_none())),
            lost: count(all_toes().filter(|(row, _)| lost(row))),
        };
        let observations: Vec<Observation> = all_toes().map(|(_, toe)| observation(toe)).collect();
        Audit {
            period,
            today,
            patients: count(rows.iter().map(|row| &row.person).collect::<BTreeSet<_>>().iter()),
            toes: count(all_toes()),
            lines: INDICATORS.iter().map(|indicator| line(indicator, &rows, today)).collect(),
            groups: By::ALL.iter().flat_map(|by| groups(*by, &rows, today)).collect(),
            healing: Curve::of(&observations),
            run_chart: RunChart::of(&points),
            months,
            follow_up,
            followed_days: all_toes().map(|(_, toe)| toe.last_seen.unwrap_or(0)).collect(),
            rows,
        }
    }
}

fn count<T>(items: impl Iterator<Item = T>) -> u32 {
    u32::try_from(items.count()).unwrap_or(u32::MAX)
}

fn line(indicator: &'static Indicator, rows: &[Row], today: CivilDate) -> Line {
    let mut counts = Counts::default();
    let mut patients: BTreeMap<&Person, Vec<Answer>> = BTreeMap::new();
    for row in rows {
        for answer in indicator.answers(row, today) {
            counts.add(answer);
            patients.entry(&row.person).or_default().push(answer);
        }
    }
    let by_patient = (indicator.unit() == Unit::Toe).then(|| {
        let mut counts = Counts::default();
        patients.values().for_each(|answers| counts.add(of_patient(answers)));
        counts
    });
    Line { indicator, counts, by_patient, published: indicator.published.and_then(outcome) }
}

/// Of a patient it is so if it is so of any toe, and not so only if it is not so of every one: what is not
/// known of one toe is not known of the patient.
fn of_patient(answers: &[Answer]) -> Answer {
    let order = [Answer::Yes, Answer::Lost, Answer::NotRecorded, Answer::NotYet, Answer::No];
    order.into_iter().find(|answer| answers.contains(answer)).unwrap_or(Answer::NotAsked)
}

fn observation(toe: &ToeRow) -> Observation {
    match toe.healed {
        Some(healed) => Observation { time: healed, is_event: true },
        None => Observation { time: toe.last_seen.unwrap_or(0), is_event: false },
    }
}

fn groups(by: By, rows: &[Row], today: CivilDate) -> Vec<Group> {
    let mut groups: BTreeMap<String, Group> = BTreeMap::new();
    for row in rows {
        for toe in &row.toes {
            let name = name_of(by, row, toe);
            let group = groups.entry(name.clone()).or_insert_with(|| Group {
                by,
                name,
                toes: 0,
                counts: [Counts::default(); 3],
            });
            group.toes += 1;
            for (counts, key) in group.counts.iter_mut().zip(OF_GROUPS) {
                if let Some(Indicator { asks: Asks::Toe(ask), .. }) = indicator(key) {
                    counts.add(ask(row, toe, today));
                }
            }
        }
    }
    groups.into_values().collect()
}

fn name_of(by: By, row: &Row, toe: &ToeRow) -> String {
    match by {
        By::Technique => match (toe.nail, toe.phenol) {
            (Nail::Partial, true) => "partial-phenol",
            (Nail::Partial, false) => "partial",
            (Nail::Total, true) => "total-phenol",
            (Nail::Total, false) => "total",
        }
        .to_owned(),
        By::Agent => row.agent.clone().unwrap_or_default(),
        By::Operator => row.operator.clone().unwrap_or_default(),
        By::Age => match row.age {
            Some(0..=11) => "a-under-12",
            Some(12..=17) => "b-12-to-17",
            Some(18..=64) => "c-18-to-64",
            Some(_) => "d-65-and-over",
            None => "",
        }
        .to_owned(),
    }
}

/// Every month of the period up to today.
fn months(rows: &[Row], period: Period, today: CivilDate) -> Vec<Month> {
    let Some(Indicator { asks: Asks::Toe(healed), .. }) = indicator("healed") else { return Vec::new() };
    let mut months = Vec::new();
    let mut first = first_of_month(period.from);
    while first <= period.to.min(today) {
        let next = first.plus_months(1);
        let mut month = Month { first, toes: 0, healed: Counts::default() };
        for row in rows.iter().filter(|row| first <= row.operated && row.operated < next) {
            for toe in &row.toes {
                month.toes += 1;
                month.healed.add(healed(row, toe, today));
            }
        }
        months.push(month);
        first = next;
    }
    months
}

fn first_of_month(day: CivilDate) -> CivilDate {
    use chrono::Datelike as _;
    CivilDate::of(day.0.year(), day.0.month(), 1).unwrap_or(day)
}

#[cfg(test)]
#[path = "audit_tests.rs"]
mod tests;
