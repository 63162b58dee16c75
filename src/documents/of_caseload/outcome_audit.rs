//! The outcomes of the operations of a period: what was counted of which, how sure it is, and of how many
//! nothing is known. Everything is counted in `audit`; here are strings.

use serde::Serialize;
use serde_json::Value as Json;

use super::List;
use crate::audit::{Audit, By, Counts, Group, Letter, Line, Month, OF_GROUPS, Period, Row, Unit};
use crate::clinical::Outcome;
use crate::clinical::thresholds::Threshold;
use crate::date::CivilDate;
use crate::documents::page::with_list_page;
use crate::facts::Caseload;
use crate::statistics::{
    Fraction, Interval, ONE_TO_SEVEN, Proportion, Rule, Run, Side, Summary, percent, rounded,
};

/// The audit.
pub(crate) static LIST: List = List {
    name: "outcome-audit",
    title: "Outcomes of nail surgery",
    template: "outcome-audit/main.typ",
    is_across: false,
    names_cases: false,
    view: |caseload| {
        let caseload = caseload.with_rows(|one| Row::of(one.facts, Letter::NotKnown));
        let mut caseload = caseload;
        let audit = audited(&mut caseload, None, None);
        view(&caseload, &audit, Reader::Clinic)
    },
};

/// For whom the numbers are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Reader {
    /// The clinic itself: exact.
    Clinic,
    /// Anybody else: small numbers are hidden, and what holds single patients is left out.
    Outside,
}

/// The audit of a caseload, over all its operations or those of a period. The rows are taken out of it: the
/// audit holds those that it counted.
pub(crate) fn audited(caseload: &mut Caseload<Row>, from: Option<CivilDate>, to: Option<CivilDate>) -> Audit {
    let rows = std::mem::take(&mut caseload.rows);
    let days = || rows.iter().map(|row| row.operated);
    let from = from.or_else(|| days().min()).unwrap_or(caseload.today);
    let to = to.or_else(|| days().max()).unwrap_or(caseload.today);
    Audit::of(rows, Period { from, to }, caseload.today)
}

/// Days of the axis of healing, at least.
const SIXTEEN_WEEKS: u32 = 16 * 7;
/// Days between two places on it.
const FOUR_WEEKS: u32 = 4 * 7;
/// Shares at the upper end of an axis, of which the smallest that holds every interval is taken.
const AXES: [(f64, &[&str]); 4] = [
    (0.1, &["0", "0.05", "0.1"]),
    (0.25, &["0", "0.1", "0.2"]),
    (0.5, &["0", "0.25", "0.5"]),
    (1.0, &["0", "0.25", "0.5", "0.75", "1"]),
];

#[derive(Debug, Serialize)]
struct View {
    from: String,
    to: String,
    until: String,
    is_empty: bool,
    /// The numbers may leave the clinic: small ones are hidden.
    is_for_outside: bool,
    rule: String,
    operations: String,
    toes: String,
    patients: String,
    /// What is counted as long, early or near.
    limits: Limits,
    lines: Vec<LineView>,
    /// What happened to the patients.
    outcomes: Chart,
    /// How it was done.
    process: Chart,
    follow_up: FollowUpView,
    healing: CurveView,
    months: RunView,
    groups: Vec<GroupTable>,
}

/// The numbers at which something begins to count, from the table of thresholds.
#[derive(Debug, Serialize)]
struct Limits {
    infection_days: String,
    healed_weeks: String,
    /// The same in days.
    healed_days: String,
    regrowth_months: String,
    looked_for_months: String,
    tourniquet_minutes: String,
    dose_percent: String,
    letter_days: String,
}

impl Limits {
    fn of_table() -> Limits {
        let whole = |limit: Threshold| limit.whole().to_string();
        Limits {
            infection_days: whole(Threshold::InfectionOfTheOperation),
            healed_weeks: whole(Threshold::AuditHealedBy),
            healed_days: (Threshold::AuditHealedBy.whole() * 7).to_string(),
            regrowth_months: whole(Threshold::AuditRegrowthWithin),
            looked_for_months: whole(Threshold::AuditRegrowthLookedForFrom),
            tourniquet_minutes: whole(Threshold::TourniquetLongOver),
            dose_percent: whole(Threshold::DoseNearFrom),
            letter_days: whole(Threshold::LetterToPractice),
        }
    }
}

/// Rows of a drawing of shares, with its axis.
#[derive(Debug, Serialize)]
struct Chart {
    rows: Vec<LineView>,
    until: String,
    marks: Vec<Mark>,
}

#[derive(Debug, Clone, Serialize)]
struct Mark {
    at: String,
    label: String,
}

/// One question. Texts are empty where there is nothing to say.
#[derive(Debug, Clone, Serialize)]
struct LineView {
    key: &'static str,
    by_toe: bool,
    /// Something is known of somebody.
    is_known: bool,
    /// The share is hidden, since its count is.
    is_hidden: bool,
    count: String,
    of: String,
    percent: String,
    low: String,
    high: String,
    drawn_share: String,
    drawn_low: String,
    drawn_high: String,
    not_recorded: String,
    lost: String,
    not_yet: String,
    patients: String,
    patients_of: String,
    has_published: bool,
    published_low: String,
    published_high: String,
    published_studies: String,
    /// More than one study.
    published_is_range: bool,
    drawn_published_low: String,
    drawn_published_high: String,
    sources: Vec<SourceView>,
}

#[derive(Debug, Serialize)]
struct FollowUpView {
    never_seen: String,
    lost: String,
    is_known: bool,
    median_weeks: String,
    from_weeks: String,
    to_weeks: String,
}

#[derive(Debug, Default, Serialize)]
struct CurveView {
    is_shown: bool,
    points: Vec<CurvePoint>,
    last: String,
    censored: Vec<CensoredPoint>,
    until: String,
    places: Vec<CurvePlace>,
    median: String,
    /// Both ends of its interval; empty where one was not reached.
    median_low: String,
    median_high: String,
    healed: String,
    of: String,
    /// The same in numbers, by week.
    table: Vec<CurveRow>,
}

#[derive(Debug, Serialize)]
struct CurvePoint {
    at: String,
    share: String,
    low: String,
    high: String,
}

#[derive(Debug, Serialize)]
struct CensoredPoint {
    at: String,
    share: String,
}

#[derive(Debug, Serialize)]
struct CurvePlace {
    at: String,
    label: String,
    at_risk: String,
}

#[derive(Debug, Serialize)]
struct CurveRow {
    weeks: String,
    at_risk: String,
    is_known: bool,
    percent: String,
    low: String,
    high: String,
}

#[derive(Debug, Default, Serialize)]
struct RunView {
    is_shown: bool,
    points: Vec<RunPoint>,
    median: String,
    median_percent: String,
    runs: Vec<RunMark>,
    useful: String,
    crossings: String,
    longest: String,
    longest_limit: String,
    crossings_limit: String,
    /// There are enough months to say whether it is more than chance.
    can_signal: bool,
    signals: bool,
}

#[derive(Debug, Serialize)]
struct RunPoint {
    label: String,
    year: String,
    value: String,
    side: &'static str,
    count: String,
    healed: String,
    known: String,
    percent: String,
}

#[derive(Debug, Serialize)]
struct RunMark {
    first: String,
    last: String,
    length: String,
    is_above: bool,
}

#[derive(Debug, Serialize)]
struct GroupTable {
    by: &'static str,
    rows: Vec<GroupRow>,
}

#[derive(Debug, Serialize)]
struct GroupRow {
    name: String,
    is_recorded: bool,
    toes: String,
    cells: Vec<GroupCell>,
}

#[derive(Debug, Serialize)]
struct GroupCell {
    key: &'static str,
    is_known: bool,
    count: String,
    of: String,
    percent: String,
    low: String,
    high: String,
    unknown: String,
}

/// The view of an audit.
pub(crate) fn view(caseload: &Caseload<Row>, audit: &Audit, reader: Reader) -> Json {
    let outside = (reader == Reader::Outside).then_some(&ONE_TO_SEVEN);
    let lines: Vec<LineView> = audit.lines.iter().map(|line| line_view(line, outside)).collect();
    let is_outcome = |line: &&LineView| OUTCOMES.contains(&line.key);
    let is_inside = outside.is_none();
    let own = View {
        from: audit.period.from.long(),
        to: audit.period.to.long(),
        until: audit.today.long(),
        is_empty: audit.rows.is_empty(),
        is_for_outside: !is_inside,
        rule: outside.map_or_else(String::new, |rule| rule.words.to_owned()),
        operations: shown(outside, u32::try_from(audit.rows.len()).unwrap_or(u32::MAX)),
        toes: shown(outside, audit.toes),
        patients: shown(outside, audit.patients),
        limits: Limits::of_table(),
        outcomes: chart(lines.iter().filter(is_outcome).cloned().collect()),
        process: chart(lines.iter().filter(|line| !is_outcome(line)).cloned().collect()),
        lines,
        follow_up: follow_up(audit, outside),
        healing: if is_inside { healing(audit) } else { CurveView::default() },
        months: if is_inside { months(audit) } else { RunView::default() },
        groups: if is_inside { groups(audit) } else { Vec::new() },
    };
    with_list_page(caseload, &LIST, String::new(), false, &own)
}

/// Questions about what became of the patient; the others ask how it was done.
const OUTCOMES: [&str; 6] =
    ["regrowth-that-hurts", "regrowth", "regrowth-no-phenol", "infection", "healed", "burn"];

fn shown(rule: Option<&Rule>, count: u32) -> String {
    rule.map_or_else(|| count.to_string(), |rule| rule.show(count).to_string())
}

fn line_view(line: &Line, rule: Option<&Rule>) -> LineView {
    let proportion = line.counts.proportion();
    let is_hidden = rule.is_some_and(|rule| rule.show(proportion.count()).to_string() == "*");
    let exact = |value: Option<f64>, text: fn(f64) -> String| {
        value.filter(|_| !is_hidden).map_or_else(String::new, text)
    };
    let interval = proportion.wilson();
    let (low, high) = (interval.map(|one| one.low), interval.map(|one| one.high));
    let patients = line.by_patient.map(|counts| counts.proportion());
    let published = line.published.map(published).unwrap_or_default();
    LineView {
        key: line.indicator.key,
        by_toe: line.indicator.unit() == Unit::Toe,
        is_known: proportion.of() > 0,
        is_hidden,
        count: shown(rule, proportion.count()),
        of: shown(rule, proportion.of()),
        percent: exact(proportion.share(), in_percent),
        low: exact(low, in_percent),
        high: exact(high, in_percent),
        drawn_share: exact(proportion.share(), drawn),
        drawn_low: exact(low, drawn),
        drawn_high: exact(high, drawn),
        not_recorded: shown(rule, line.counts.not_recorded),
        lost: shown(rule, line.counts.lost),
        not_yet: shown(rule, line.counts.not_yet),
        patients: patients.map_or_else(String::new, |patients| shown(rule, patients.count())),
        patients_of: patients.map_or_else(String::new, |patients| shown(rule, patients.of())),
        has_published: published.studies > 0,
        published_low: published.low_percent,
        published_high: published.high_percent,
        published_is_range: published.studies > 1,
        published_studies: published.studies.to_string(),
        drawn_published_low: published.drawn_low,
        drawn_published_high: published.drawn_high,
        sources: published.sources,
    }
}

/// A study of an outcome.
#[derive(Debug, Clone, Serialize)]
struct SourceView {
    /// Empty where the source gives a share alone.
    count: String,
    of: String,
    in_100: String,
    /// Of follow-up; empty where the source does not say.
    months: String,
    cite: String,
}

/// What others have published of an outcome.
#[derive(Default)]
struct Published {
    studies: usize,
    low_percent: String,
    high_percent: String,
    drawn_low: String,
    drawn_high: String,
    sources: Vec<SourceView>,
}

fn published(outcome: &'static Outcome) -> Published {
    let share = |study: &crate::clinical::Study| {
        let counted = match study.count {
            Some(count) => Proportion::new(count, study.of),
            None => Proportion::new(study.in_100, 100),
        };
        counted.and_then(Proportion::share).unwrap_or_default()
    };
    let shares = || outcome.studies.iter().map(share);
    let low = shares().fold(f64::INFINITY, f64::min);
    let high = shares().fold(0.0, f64::max);
    let sources = outcome.studies.iter().map(|study| SourceView {
        count: study.count.map_or_else(String::new, |count| count.to_string()),
        of: study.of.to_string(),
        in_100: study.in_100.to_string(),
        months: study.months.map_or_else(String::new, |months| months.to_string()),
        cite: study.cite.to_string(),
    });
    Published {
        studies: outcome.studies.len(),
        low_percent: in_percent(low),
        high_percent: in_percent(high),
        drawn_low: drawn(low),
        drawn_high: drawn(high),
        sources: sources.collect(),
    }
}

/// `5.9` of a share.
fn in_percent(share: f64) -> String {
    percent(share, 1)
}

/// As the drawings take it.
fn drawn(share: f64) -> String {
    rounded(share, 4)
}

/// The smallest axis that holds every interval and what was published.
fn chart(rows: Vec<LineView>) -> Chart {
    let number = |text: &str| text.parse::<f64>().unwrap_or(0.0);
    let ends = rows.iter().flat_map(|row| [number(&row.drawn_high), number(&row.drawn_published_high)]);
    let most = ends.fold(0.0, f64::max);
    let (until, marks) = AXES.into_iter().find(|(until, _)| most <= *until).unwrap_or(AXES[AXES.len() - 1]);
    let mark = |at: &&str| Mark { at: (*at).to_owned(), label: format!("{} %", percent(number(at), 0)) };
    Chart { until: until.to_string(), marks: marks.iter().map(mark).collect(), rows }
}

fn follow_up(audit: &Audit, rule: Option<&Rule>) -> FollowUpView {
    let weeks = |days: u64| rounded(quarters_in_weeks(days), 0);
    let summary = Summary::of(&audit.followed_days)
        .filter(|summary| rule.is_none_or(|rule| rule.allows_average_of(summary.count)));
    let text = |quarters: fn(&Summary) -> u64| {
        summary.as_ref().map_or_else(String::new, |summary| weeks(quarters(summary)))
    };
    FollowUpView {
        never_seen: shown(rule, audit.follow_up.never_seen),
        lost: shown(rule, audit.follow_up.lost),
        is_known: summary.is_some(),
        median_weeks: text(|summary| summary.median.0),
        from_weeks: text(|summary| summary.lower_quartile.0),
        to_weeks: text(|summary| summary.upper_quartile.0),
    }
}

/// Weeks of a number of days in quarters.
fn quarters_in_weeks(quarters: u64) -> f64 {
    let quarters = u32::try_from(quarters).unwrap_or(u32::MAX);
    Fraction::new(quarters, 4 * 7).map_or(0.0, Fraction::decimal)
}

fn healing(audit: &Audit) -> CurveView {
    let curve = &audit.healing;
    let steps = curve.steps();
    let healed: u32 = steps.iter().map(|step| step.events).sum();
    let last_event = steps.iter().filter(|step| step.events > 0).map(|step| step.time).max();
    let Some(last_event) = last_event else { return CurveView::default() };
    let until = SIXTEEN_WEEKS.max(last_event.div_ceil(FOUR_WEEKS) * FOUR_WEEKS);
    let last = steps.last().map_or(0, |step| step.time).min(until);
    let ends = |interval: Option<Interval>| {
        interval.map_or_else(Default::default, |one| (drawn(one.low), drawn(one.high)))
    };
    let points = steps.iter().filter(|step| step.events > 0).map(|step| {
        let (low, high) = ends(step.estimate.happened_interval());
        CurvePoint { at: step.time.to_string(), share: drawn(step.estimate.happened()), low, high }
    });
    let censored = steps
        .iter()
        .filter(|step| step.censored > 0 && step.time <= until)
        .map(|step| CensoredPoint { at: step.time.to_string(), share: drawn(step.estimate.happened()) });
    let weeks = || (0..=until / FOUR_WEEKS).map(|four| four * FOUR_WEEKS);
    let places = weeks().map(|day| CurvePlace {
        at: day.to_string(),
        label: (day / 7).to_string(),
        at_risk: curve.at_risk(day).to_string(),
    });
    let table = weeks().map(|day| {
        let estimate = curve.at(day);
        let interval = estimate.and_then(|estimate| estimate.happened_interval());
        CurveRow {
            weeks: (day / 7).to_string(),
            at_risk: curve.at_risk(day).to_string(),
            is_known: estimate.is_some(),
            percent: estimate.map_or_else(String::new, |estimate| percent(estimate.happened(), 0)),
            low: interval.map_or_else(String::new, |one| percent(one.low, 0)),
            high: interval.map_or_else(String::new, |one| percent(one.high, 0)),
        }
    });
    let (low, high) = curve.median_interval();
    let days = |day: Option<u32>| day.map_or_else(String::new, |day| day.to_string());
    CurveView {
        is_shown: true,
        points: points.collect(),
        last: last.to_string(),
        censored: censored.collect(),
        until: until.to_string(),
        places: places.collect(),
        median: days(curve.median()),
        // The curve of the healed rises: the limits change places.
        median_low: days(low),
        median_high: days(high),
        healed: healed.to_string(),
        of: audit.toes.to_string(),
        table: table.collect(),
    }
}

fn months(audit: &Audit) -> RunView {
    let Some(chart) = &audit.run_chart else { return RunView::default() };
    let points = audit.months.iter().zip(&chart.sides).enumerate().map(|(at, (month, side))| {
        let healed = month.healed.proportion();
        RunPoint {
            label: month_name(*month),
            year: if at == 0 || is_january(*month) { year_of(*month) } else { String::new() },
            value: healed.share().map_or_else(String::new, drawn),
            side: match side {
                Some(Side::Above) => "above",
                Some(Side::Below) => "below",
                Some(Side::On) => "on",
                None => "",
            },
            count: month.toes.to_string(),
            healed: healed.count().to_string(),
            known: healed.of().to_string(),
            percent: healed.share().map_or_else(String::new, |share| percent(share, 0)),
        }
    });
    let run = |run: &Run| RunMark {
        first: run.first.to_string(),
        last: run.last.to_string(),
        length: run.length.to_string(),
        is_above: run.side == Side::Above,
    };
    let limit = |limit: Option<u32>| limit.map_or_else(String::new, |limit| limit.to_string());
    RunView {
        is_shown: true,
        points: points.collect(),
        median: drawn(chart.median.decimal()),
        median_percent: percent(chart.median.decimal(), 0),
        runs: chart.long_runs().map(run).collect(),
        useful: chart.useful.to_string(),
        crossings: chart.crossings.to_string(),
        longest: chart.longest_run.to_string(),
        longest_limit: limit(chart.limits.map(|limits| limits.longest_run)),
        crossings_limit: limit(chart.limits.map(|limits| limits.crossings)),
        can_signal: chart.limits.is_some(),
        signals: chart.signals() == Some(true),
    }
}

/// `Jul`.
fn month_name(month: Month) -> String {
    month.first.clinical().chars().skip(3).take(3).collect()
}

fn year_of(month: Month) -> String {
    month.first.clinical().chars().skip(7).collect()
}

fn is_january(month: Month) -> bool {
    month.first.month() == 1
}

fn groups(audit: &Audit) -> Vec<GroupTable> {
    let table = |by: By| GroupTable {
        by: by.key(),
        rows: audit.groups.iter().filter(|group| group.by == by).map(group_row).collect(),
    };
    By::ALL.into_iter().map(table).filter(|table| !table.rows.is_empty()).collect()
}

fn group_row(group: &Group) -> GroupRow {
    GroupRow {
        name: group.name.clone(),
        is_recorded: !group.name.is_empty(),
        toes: group.toes.to_string(),
        cells: OF_GROUPS
            .into_iter()
            .zip(&group.counts)
            .map(|(key, counts)| group_cell(key, counts))
            .collect(),
    }
}

fn group_cell(key: &'static str, counts: &Counts) -> GroupCell {
    let proportion = counts.proportion();
    let interval = proportion.wilson();
    let text = |value: Option<f64>| value.map_or_else(String::new, |value| percent(value, 0));
    GroupCell {
        key,
        is_known: proportion.of() > 0,
        count: proportion.count().to_string(),
        of: proportion.of().to_string(),
        percent: text(proportion.share()),
        low: text(interval.map(|one| one.low)),
        high: text(interval.map(|one| one.high)),
        unknown: (counts.not_recorded + counts.lost + counts.not_yet).to_string(),
    }
}
