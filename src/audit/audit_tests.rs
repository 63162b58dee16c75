use super::row::RegrowthRow;
use super::*;
use crate::anatomy::Toe;
use crate::case::{ClosedBecause, Regrowth};
use crate::rules::example::facts_of;
use crate::statistics::rounded;

fn day(text: &str) -> CivilDate {
    crate::units::TextValue::parse(text).expect("a literal date")
}

/// Surgery on 24 November 2026, one toe, partial avulsion with phenol, nothing recorded since.
fn row() -> Row {
    Row::of(&facts_of(""), Letter::NotKnown).expect("it was operated on")
}

fn with_toe(change: impl FnOnce(&mut ToeRow)) -> Row {
    let mut row = row();
    change(&mut row.toes[0]);
    row
}

fn asked(key: &str, row: &Row, today: &str) -> Answer {
    indicator(key).expect("a question").answers(row, day(today))[0]
}

fn regrown(on: &str, hurts: Option<bool>) -> Option<RegrowthRow> {
    Some(RegrowthRow { kind: Regrowth::Spike, on: day(on), hurts })
}

#[test]
fn a_row_holds_what_was_recorded_and_no_more() {
    let row = row();
    let toe = &row.toes[0];
    assert_eq!((toe.toe, toe.nail, toe.phenol), (Toe::L1, Nail::Partial, true));
    assert_eq!((toe.healed, toe.last_seen, toe.infection, toe.regrowth), (None, None, None, None));
    assert_eq!((row.letter, row.closed.clone(), row.missed, row.incidents), (Letter::NotKnown, None, 0, 0));
    assert!(row.is_traceable && row.dose_share.is_some());
    assert!(Row::of(&facts_of("operation: ~"), Letter::NotGone).is_none());
    let gap = facts_of("operation: {anaesthetic: {batch: {not_recorded: box thrown away}}}");
    assert!(!Row::of(&gap, Letter::NotGone).expect("operated on").is_traceable);
    let seen = facts_of(
        "visits: [{on: 2026-12-01, kind: unplanned, toes: {L1: {signs: [pus], healed: false}}},
                  {on: 2027-01-05, kind: review, toes: {L1: {healed: true, regrowth: none}}}]",
    );
    let toe = Row::of(&seen, Letter::NotGone).expect("operated on").toes.remove(0);
    assert_eq!(
        (toe.infection, toe.last_open, toe.healed, toe.last_seen),
        (Some(7), Some(7), Some(42), Some(42))
    );
    assert_eq!(toe.regrowth_looked_for, Some(day("2027-01-05")));
}

/// Day 30 is the last that counts (thresholds: infection of the operation). A toe that was last seen before
/// it and is not healed may have been infected afterwards.
#[test]
fn a_toe_that_was_not_looked_at_is_not_free_of_infection() {
    let ask = |row: &Row| asked("infection", row, "2027-06-01");
    assert_eq!(ask(&row()), Answer::NotRecorded);
    assert_eq!(ask(&with_toe(|toe| toe.last_seen = Some(29))), Answer::NotRecorded);
    assert_eq!(ask(&with_toe(|toe| toe.last_seen = Some(30))), Answer::No);
    assert_eq!(ask(&with_toe(|toe| toe.healed = Some(20))), Answer::No);
    assert_eq!(ask(&with_toe(|toe| toe.infection = Some(7))), Answer::Yes);
    let lost = Row { closed: Some(ClosedBecause::Lost), ..row() };
    assert_eq!(ask(&lost), Answer::Lost);
    assert_eq!(asked("infection", &row(), "2026-12-24"), Answer::NotYet, "day 30");
    assert_eq!(asked("infection", &row(), "2026-12-25"), Answer::NotRecorded, "day 31");
    // One that is known of early would count too often beside those of which nothing can be known yet.
    let infected = with_toe(|toe| toe.infection = Some(7));
    assert_eq!(asked("infection", &infected, "2026-12-24"), Answer::NotYet);
    assert_eq!(asked("infection", &infected, "2026-12-25"), Answer::Yes);
}

/// Eight weeks are 56 days.
#[test]
fn healed_by_eight_weeks_and_a_day_later() {
    let ask = |row: &Row| asked("healed", row, "2027-06-01");
    assert_eq!(ask(&with_toe(|toe| toe.healed = Some(56))), Answer::Yes);
    assert_eq!(ask(&with_toe(|toe| toe.healed = Some(57))), Answer::No);
    assert_eq!(
        ask(&with_toe(|toe| toe.last_open = Some(55))),
        Answer::NotRecorded,
        "it may have healed next day"
    );
    assert_eq!(ask(&with_toe(|toe| toe.last_open = Some(56))), Answer::No);
    assert_eq!(asked("healed", &row(), "2027-01-18"), Answer::NotYet, "day 55");
    assert_eq!(asked("healed", &row(), "2027-01-19"), Answer::NotRecorded, "day 56");
    assert_eq!(asked("healed", &with_toe(|toe| toe.healed = Some(20)), "2027-01-18"), Answer::NotYet);
    let closed = Row { closed: Some(ClosedBecause::Healed), ..row() };
    assert_eq!(ask(&closed), Answer::NotRecorded, "closing heals nothing");
}

#[test]
fn regrowth_is_ruled_out_only_by_a_look_after_six_months() {
    let today = "2028-06-01";
    let looked = |on: &str| with_toe(|toe| toe.regrowth_looked_for = Some(day(on)));
    for key in ["regrowth", "regrowth-that-hurts"] {
        assert_eq!(asked(key, &row(), today), Answer::NotRecorded, "{key}");
        assert_eq!(asked(key, &looked("2027-05-23"), today), Answer::NotRecorded, "{key}");
        assert_eq!(asked(key, &looked("2027-05-24"), today), Answer::No, "{key}");
        assert_eq!(asked(key, &row(), "2027-05-23"), Answer::NotYet, "{key}");
    }
    let seen = |on: &str, hurts| {
        with_toe(|toe| (toe.regrowth, toe.regrowth_looked_for) = (regrown(on, hurts), Some(day(on))))
    };
    assert_eq!(asked("regrowth", &seen("2027-11-24", None), today), Answer::Yes, "the last day");
    assert_eq!(asked("regrowth", &seen("2027-11-25", None), today), Answer::No, "after twelve months");
    assert_eq!(asked("regrowth-that-hurts", &seen("2027-08-24", Some(true)), today), Answer::Yes);
    assert_eq!(asked("regrowth-that-hurts", &seen("2027-08-24", Some(false)), today), Answer::No);
    assert_eq!(asked("regrowth-that-hurts", &seen("2027-08-24", None), today), Answer::NotRecorded);
    assert_eq!(asked("regrowth-no-phenol", &seen("2027-08-24", None), today), Answer::NotAsked);
}

#[test]
fn the_limits_of_the_other_questions() {
    let today = "2027-06-01";
    let minutes = |minutes| with_toe(|toe| toe.tourniquet_minutes = minutes);
    assert_eq!(asked("tourniquet-long", &minutes(Some(20)), today), Answer::No);
    assert_eq!(asked("tourniquet-long", &minutes(Some(21)), today), Answer::Yes);
    assert_eq!(asked("tourniquet-long", &minutes(None), today), Answer::NotRecorded);
    assert_eq!(
        asked("tourniquet-long", &with_toe(|toe| toe.has_tourniquet = false), today),
        Answer::NotAsked
    );
    let dose = |share: Option<&str>| Row {
        dose_share: share.map(|share| share.parse().expect("a number")),
        ..row()
    };
    assert_eq!(asked("dose-near-limit", &dose(Some("0.799")), today), Answer::No);
    assert_eq!(asked("dose-near-limit", &dose(Some("0.8")), today), Answer::Yes);
    assert_eq!(asked("dose-near-limit", &dose(None), today), Answer::NotRecorded);
    let letter = |gone: Option<&str>| {
        let letter = gone.map_or(Letter::NotGone, |gone| Letter::Gone(day(gone)));
        Row { letter, ..row() }
    };
    assert_eq!(asked("letter-in-time", &row(), today), Answer::NotRecorded, "no register");
    assert_eq!(asked("letter-in-time", &letter(Some("2026-12-04")), today), Answer::Yes, "day 10");
    assert_eq!(asked("letter-in-time", &letter(Some("2026-12-05")), today), Answer::No, "day 11");
    assert_eq!(asked("letter-in-time", &letter(None), today), Answer::No);
    assert_eq!(asked("letter-in-time", &letter(None), "2026-12-04"), Answer::NotYet);
    assert_eq!(asked("burn", &row(), today), Answer::NotRecorded);
    assert_eq!(
        asked("burn", &with_toe(|toe| toe.last_seen = Some(3)), today),
        Answer::NotRecorded,
        "seen, not said"
    );
    assert_eq!(asked("burn", &with_toe(|toe| toe.burn = Some(false)), today), Answer::No);
    assert_eq!(asked("burn", &with_toe(|toe| toe.burn = Some(true)), today), Answer::Yes);
}

fn whole_year() -> Period {
    Period { from: day("2026-01-01"), to: day("2026-12-31") }
}

fn line_of<'a>(audit: &'a Audit, key: &str) -> &'a Line {
    audit.lines.iter().find(|line| line.indicator.key == key).expect("a line")
}

/// The counts of Bostanci 2001 (Acta Derm Venereol 81:181): 2 recurrences of 350 nails; and the interval of
/// Wilson worked out from them, 0.0016 to 0.0206.
#[test]
fn a_published_series_comes_out_as_published() {
    let rows = (0..350).map(|at| {
        let mut row = with_toe(|toe| toe.regrowth_looked_for = Some(day("2027-12-24")));
        row.reference = format!("TRY-{at:03}");
        if at < 2 {
            row.toes[0].regrowth = regrown("2027-08-24", Some(true));
        }
        row
    });
    let audit = Audit::of(rows, whole_year(), day("2028-06-01"));
    let proportion = line_of(&audit, "regrowth").counts.proportion();
    assert_eq!((proportion.count(), proportion.of()), (2, 350));
    let interval = proportion.wilson().expect("350 is more than none");
    assert_eq!((rounded(interval.low, 4).as_str(), rounded(interval.high, 4).as_str()), ("0.0016", "0.0206"));
}

#[test]
fn every_toe_is_counted_once_whatever_is_known_of_it() {
    let rows = [
        row(),
        with_toe(|toe| toe.infection = Some(7)),
        with_toe(|toe| toe.last_seen = Some(40)),
        Row { closed: Some(ClosedBecause::Lost), ..row() },
        Row { operated: day("2025-12-31"), ..row() },
    ];
    let audit = Audit::of(rows, whole_year(), day("2027-06-01"));
    assert_eq!((audit.rows.len(), audit.toes, audit.patients), (4, 4, 1), "one lies outside the period");
    let counts = line_of(&audit, "infection").counts;
    assert_eq!(counts, Counts { yes: 1, no: 1, not_recorded: 1, lost: 1, not_yet: 0 });
    assert_eq!(counts.proportion().of(), 2, "what is not known is in no denominator");
    for line in audit.lines.iter().filter(|line| line.indicator.unit() == Unit::Toe) {
        let Counts { yes, no, not_recorded, lost, not_yet } = line.counts;
        assert!(yes + no + not_recorded + lost + not_yet <= audit.toes, "{}", line.indicator.key);
    }
    assert_eq!((audit.follow_up.never_seen, audit.follow_up.lost), (3, 1));
}

/// Of one patient: one toe infected makes it so; one toe of which nothing is known leaves it open.
#[test]
fn a_patient_is_what_the_worst_known_toe_is() {
    let two = |first: fn(&mut ToeRow), second: fn(&mut ToeRow)| {
        let mut row = row();
        row.toes.push(row.toes[0].clone());
        first(&mut row.toes[0]);
        second(&mut row.toes[1]);
        let audit = Audit::of([row], whole_year(), day("2027-06-01"));
        line_of(&audit, "infection").by_patient.expect("counted by toe")
    };
    let seen: fn(&mut ToeRow) = |toe| toe.last_seen = Some(40);
    let infected: fn(&mut ToeRow) = |toe| toe.infection = Some(7);
    let unknown: fn(&mut ToeRow) = |_| ();
    assert_eq!(two(seen, infected).yes, 1);
    assert_eq!(two(seen, seen).no, 1);
    assert_eq!(two(seen, unknown).not_recorded, 1);
    assert_eq!(two(infected, unknown).yes, 1);
}

#[test]
fn time_to_healing_ends_for_each_toe_where_it_was_last_seen() {
    let rows = [
        with_toe(|toe| toe.healed = Some(42)),
        with_toe(|toe| toe.last_seen = Some(42)),
        with_toe(|toe| toe.healed = Some(60)),
        row(),
    ];
    let audit = Audit::of(rows, whole_year(), day("2027-06-01"));
    assert_eq!((audit.healing.at_risk(1), audit.healing.at_risk(42), audit.healing.at_risk(60)), (3, 3, 1));
    // 1 − 1/3, then 0: the one seen for the last time on day 42 was still at risk then.
    assert_eq!(audit.healing.at(42).map(|at| rounded(at.survival, 3)).as_deref(), Some("0.667"));
    assert_eq!(audit.healing.median(), Some(60));
}

#[test]
fn months_stand_in_order_also_those_without_an_operation() {
    let rows = [
        Row { operated: day("2026-01-15"), ..with_toe(|toe| toe.healed = Some(42)) },
        Row { operated: day("2026-03-31"), ..with_toe(|toe| toe.healed = Some(57)) },
    ];
    let audit = Audit::of(rows, whole_year(), day("2026-06-15"));
    let said: Vec<(String, u32, u32)> =
        audit.months.iter().map(|month| (month.first.to_string(), month.toes, month.healed.yes)).collect();
    let wanted = [("2026-01-01", 1, 1), ("2026-02-01", 0, 0), ("2026-03-01", 1, 0), ("2026-04-01", 0, 0)];
    assert_eq!(said[..4], wanted.map(|(first, toes, yes)| (first.to_owned(), toes, yes)));
    assert_eq!(said.len(), 6, "up to the month of the day that counts");
    let chart = audit.run_chart.expect("two months have a number");
    assert!(chart.limits.is_none() && chart.useful <= 2);
}

#[test]
fn groups_add_up_to_all_toes() {
    let rows = [
        row(),
        Row { age: Some(11), operator: None, ..row() },
        with_toe(|toe| (toe.nail, toe.phenol) = (Nail::Total, false)),
    ];
    let audit = Audit::of(rows, whole_year(), day("2027-06-01"));
    for by in By::ALL {
        let toes: u32 = audit.groups.iter().filter(|group| group.by == by).map(|group| group.toes).sum();
        assert_eq!(toes, audit.toes, "{}", by.key());
    }
    assert!(audit.groups.iter().any(|group| group.by == By::Operator && group.name.is_empty()));
}

#[test]
fn no_operations_are_no_numbers() {
    let audit = Audit::of([], whole_year(), day("2027-06-01"));
    assert_eq!((audit.toes, audit.patients, audit.run_chart.is_none()), (0, 0, true));
    assert!(audit.lines.iter().all(|line| line.counts.proportion().share().is_none()));
}
