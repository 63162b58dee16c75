//! What must hold whatever is written: properties, tried on many invented inputs.
//!
//! The number of inputs and their seed are fixed, so that a run today and a run tomorrow agree.

use std::collections::BTreeSet;
use std::sync::Arc;

use chrono::{Datelike, Days, NaiveDate};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use rust_decimal::Decimal;
use serde_yaml::{Mapping, Value};

use unguis::clinical::working_days::{LONGEST_SEARCH_DAYS, YearNotKnown, holiday};
use unguis::date::{CivilDate, Expiry, TimeOfDay};
use unguis::demo;
use unguis::derive::{Shown, shown};
use unguis::diagnostic::SourceText;
use unguis::nation::Division;
use unguis::pipeline::check;
use unguis::rules::example::facts_of;
use unguis::units::{
    Centimetres, Hba1c, Kilograms, Milligrams, MilligramsPerKilogram, Millilitres, Percent, Seconds,
    SitesFelt, TextValue,
};

fn config(cases: u32) -> ProptestConfig {
    ProptestConfig { cases, rng_seed: RngSeed::Fixed(1), failure_persistence: None, ..Default::default() }
}

/// What is found in a case and what is worked out from it. Places in the file are left out, paths are not.
#[derive(Debug, PartialEq)]
struct Outcome {
    findings: Vec<(String, &'static str, String, String, Option<String>)>,
    values: Vec<Shown>,
}

fn outcome(case: &Value, clinic: &Value) -> Outcome {
    let text = |value: &Value| serde_yaml::to_string(value).expect("a tree can be written");
    let case = Arc::new(SourceText::new("case.yaml", text(case)));
    let clinic = Arc::new(SourceText::new("clinic.yaml", text(clinic)));
    let checked = check(case, &clinic, demo::today());
    let mut findings: Vec<_> = checked
        .diagnostics
        .iter()
        .map(|one| {
            let weight = if one.answered.is_some() { "answered" } else { one.severity.word() };
            (one.rule.to_owned(), weight, one.path.to_string(), one.primary.text.clone(), one.help.clone())
        })
        .collect();
    findings.sort();
    let values = checked.facts.map(|facts| shown(&facts.derived)).unwrap_or_default();
    Outcome { findings, values }
}

fn tree(text: &str) -> Value {
    serde_yaml::from_str(text).expect("the files of the tests are YAML")
}

/// The demo cases, and the refused ones, in which there is more to find.
fn cases() -> Vec<Value> {
    let refused = crate::refused::fixtures();
    demo::CASES.iter().map(|(_, text)| tree(text)).chain(refused.iter().map(|(_, text)| tree(text))).collect()
}

/// A small generator that gives the same numbers for the same seed.
struct Dice(u64);

impl Dice {
    fn below(&mut self, bound: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from((self.0 >> 11) % bound as u64).expect("below a small bound")
    }
}

/// The same tree with the keys of every block in another order. Lists keep theirs: it means something.
fn shuffled(value: &Value, dice: &mut Dice) -> Value {
    match value {
        Value::Mapping(keys) => {
            let mut left: Vec<_> =
                keys.iter().map(|(key, value)| (key.clone(), shuffled(value, dice))).collect();
            let mut keys = Mapping::new();
            while !left.is_empty() {
                let (key, value) = left.swap_remove(dice.below(left.len()));
                keys.insert(key, value);
            }
            Value::Mapping(keys)
        }
        Value::Sequence(items) => Value::Sequence(items.iter().map(|item| shuffled(item, dice)).collect()),
        other => other.clone(),
    }
}

/// Every path of keys that leads to something, blocks included.
fn paths(value: &Value, before: &[Value], found: &mut Vec<Vec<Value>>) {
    let Value::Mapping(keys) = value else { return };
    for (key, value) in keys {
        let path = [before, std::slice::from_ref(key)].concat();
        paths(value, &path, found);
        found.push(path);
    }
}

fn block<'a>(tree: &'a mut Value, path: &[Value]) -> &'a mut Mapping {
    path.iter()
        .fold(tree, |tree, key| tree.get_mut(key).expect("the path was found in this tree"))
        .as_mapping_mut()
        .expect("only blocks have keys")
}

proptest! {
    #![proptest_config(config(120))]

    #[test]
    fn the_order_of_keys_changes_nothing(which in any::<prop::sample::Index>(), seed in 1u64..) {
        let cases = cases();
        let (case, clinic) = (which.get(&cases), tree(demo::CLINIC));
        let mut dice = Dice(seed);
        let mixed = outcome(&shuffled(case, &mut dice), &shuffled(&clinic, &mut dice));
        prop_assert!(!mixed.values.is_empty(), "it was read: {:?}", mixed.findings);
        prop_assert_eq!(mixed, outcome(case, &clinic));
    }

    /// Something that no field can hold is put in the place of any one value: it is found there and nowhere
    /// else, and nothing is judged of a file that was not understood.
    #[test]
    fn a_fault_is_found_at_its_own_place(
        which in any::<prop::sample::Index>(),
        at in any::<prop::sample::Index>(),
    ) {
        let cases = cases();
        let (case, clinic) = (which.get(&cases), tree(demo::CLINIC));
        let mut all = Vec::new();
        paths(case, &[], &mut all);
        let path = at.get(&all);
        let (key, above) = path.split_last().expect("a path has a key");
        let mut broken = case.clone();
        block(&mut broken, above).insert(key.clone(), tree("[[[nothing]]]"));
        let steps: Vec<&str> = path.iter().filter_map(Value::as_str).collect();
        let place = steps.join(".");
        let found = outcome(&broken, &clinic);
        prop_assert!(found.values.is_empty(), "{place}: judged all the same");
        prop_assert!(!found.findings.is_empty(), "{place}: not found");
        for (rule, weight, path, ..) in &found.findings {
            prop_assert_eq!(*weight, "unreadable", "{}: {}", place, rule);
            let is_there = path == &place || path.strip_prefix(&place).is_some_and(|rest| {
                rest.starts_with('.') || rest.starts_with('[')
            });
            prop_assert!(is_there, "{place} was broken, {rule} is at {path}");
        }
    }
}

/// Up to six digits on either side of the point, which is all that reading takes.
fn decimals() -> impl Strategy<Value = Decimal> {
    (0i64..1_000_000_000_000, 0u32..=6)
        .prop_map(|(digits, scale)| Decimal::new(digits % (1_000_000 * 10i64.pow(scale)), scale))
}

fn returns<T: TextValue + std::fmt::Display + PartialEq + std::fmt::Debug>(
    value: &T,
) -> Result<(), TestCaseError> {
    let text = value.to_string();
    match T::parse(&text) {
        Ok(read) => prop_assert_eq!(&read, value, "{}", text),
        // Outside what a patient or a label can have, which reading says in so many words.
        Err(problem) => prop_assert!(problem.contains("cannot be: it lies between"), "{}: {}", text, problem),
    }
    Ok(())
}

proptest! {
    #![proptest_config(config(256))]

    #[test]
    fn a_printed_quantity_is_read_as_the_same(number in decimals()) {
        returns(&Kilograms(number))?;
        returns(&Centimetres(number))?;
        returns(&Millilitres(number))?;
        returns(&Milligrams(number))?;
        returns(&MilligramsPerKilogram(number))?;
        returns(&Percent(number))?;
        returns(&Seconds(number))?;
    }

    #[test]
    fn a_printed_result_date_or_time_is_read_as_the_same(
        mmol in 10_000i64..=250_000, percent in 300i64..=2_500,
        tested in 1u8.., felt in any::<prop::sample::Index>(),
        day in 0u64..73_000, minute in 0i64..1_440,
    ) {
        returns(&Hba1c::MmolPerMol(Decimal::new(mmol, 3)))?;
        returns(&Hba1c::Percent(Decimal::new(percent, 2)))?;
        let felt = u8::try_from(felt.index(usize::from(tested) + 1)).expect("not above what was tested");
        returns(&SitesFelt { felt, tested })?;
        let date = days_after(1900, day);
        returns(&date)?;
        returns(&Expiry { last_day: date, is_month: false })?;
        returns(&Expiry::parse(&date.to_string()[..7]).map_err(TestCaseError::fail)?)?;
        let midnight = TimeOfDay::parse("00:00").map_err(TestCaseError::fail)?;
        returns(&midnight.plus_minutes(minute).0)?;
    }
}

fn days_after(year: i32, days: u64) -> CivilDate {
    let first = NaiveDate::from_ymd_opt(year, 1, 1).expect("years have a first day");
    CivilDate(first.checked_add_days(Days::new(days)).expect("within the calendar"))
}

const DIVISIONS: [(&str, Division); 3] = [
    ("england-and-wales", Division::EnglandAndWales),
    ("scotland", Division::Scotland),
    ("northern-ireland", Division::NorthernIreland),
];
const WEEK: [&str; 7] = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];

proptest! {
    #![proptest_config(config(400))]

    #[test]
    fn visits_fall_on_the_first_open_day(
        day in 0u64..1_461,
        division in 0usize..3,
        opens in prop::sample::subsequence(WEEK.to_vec(), 1..=7),
        first in 1u64..15,
        review in 7u64..90,
        closed in prop::collection::btree_set(1u64..100, 0..30),
    ) {
        let surgery = days_after(2025, day);
        let (word, division) = DIVISIONS[division];
        let closed: BTreeSet<CivilDate> = closed.into_iter().map(|day| surgery.plus_days(day)).collect();
        let listed = closed.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
        let facts = facts_of(&format!(
            "{{operation: {{date: {surgery}}}, clinic: {{division: {word}, protocol: {{opening_days: [{}], \
             closed: [{listed}], first_redressing_days: {first}, review_days: {review}}}}}}}",
            opens.join(", ")
        ));
        // Written anew, so that a slip in the search is not repeated here. `None`: the table ends before.
        let is_open = |date: CivilDate| {
            let is_holiday = holiday(division, date).ok()?.is_some();
            let weekday = WEEK[date.weekday().num_days_from_monday() as usize];
            Some(!is_holiday && !closed.contains(&date) && opens.contains(&weekday))
        };
        let wanted = [surgery.plus_days(first), surgery.plus_days(review)];
        match facts.derived.next_visits.get() {
            Some(visits) => {
                prop_assert_eq!(visits.len(), 2);
                for (visit, wanted) in visits.iter().zip(wanted) {
                    prop_assert_eq!(is_open(visit.date), Some(true), "{}", visit.date);
                    let moved = wanted.days_until(visit.date);
                    prop_assert!((0..=i64::try_from(LONGEST_SEARCH_DAYS).expect("small")).contains(&moved));
                    for passed in 0..moved {
                        let passed = wanted.plus_days(u64::try_from(passed).expect("not negative"));
                        prop_assert_eq!(is_open(passed), Some(false), "{} was passed over", passed);
                    }
                }
            }
            None => {
                let finds_none = |wanted: CivilDate| {
                    let search = (0..=LONGEST_SEARCH_DAYS).map(|later| is_open(wanted.plus_days(later)));
                    // Up to the end of the table, or of the search, every day is closed.
                    search.take_while(Option::is_some).all(|open| open == Some(false))
                };
                prop_assert!(wanted.into_iter().any(finds_none), "{surgery}");
            }
        }
    }

    #[test]
    fn outside_the_table_of_holidays_nothing_is_known(
        day in prop_oneof![0u64..9_132, 10_593u64..36_000],
        division in 0usize..3,
    ) {
        // Days from 2000 on; 9 131 and 10 592 are the last of 2024 and of 2028.
        let date = days_after(2000, day);
        let year = date.0.year();
        prop_assert!(!(2025..=2028).contains(&year), "{date}");
        let (word, division) = DIVISIONS[division];
        prop_assert_eq!(holiday(division, date), Err(YearNotKnown(year)));
        // Surgery three days before; the first redressing would fall on the date itself.
        let surgery = CivilDate(date.0.checked_sub_days(Days::new(3)).expect("after 1999"));
        let facts = facts_of(&format!(
            "{{operation: {{date: {surgery}}}, clinic: {{division: {word}, \
             protocol: {{first_redressing_days: 3, review_days: ~}}}}}}"
        ));
        let said = facts.derived.next_visits.print(|visits| format!("{visits:?}"));
        let reason = format!("the bank holidays of {year} are not in the table");
        prop_assert_eq!(said, format!("not known: no day for the first redressing: {reason}"));
    }
}
