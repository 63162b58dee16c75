//! A visit, or the operation itself, that is booked on a day on which the clinic is closed. One before the operation is another rule's.

use crate::clinical::{Cite, sources};
use crate::date::CivilDate;
use crate::derive::closed_on;
use crate::diagnostic::{Finding, Path, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "visit-on-closed-day",
    topic: Topic::Records,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet", "school-note"]),
    title: "a visit is booked on a day on which the clinic is closed",
    why: "The leaflet sends the patient to a closed door, with a dressing that should have been changed.",
    cite: Cite::adapts(
        &sources::records::BANK_HOLIDAYS,
        "dates of the division",
        "opening days and closed days stand in the clinic file; asking is ours",
    ),
    limits: "Knows the clinic's opening days, its closed days and the bank holidays of the years in the table. \
             Opening hours are words and are not compared with the time of the visit.",
    example: Example {
        bad: "follow_up: {first_redressing: 2026-11-28}",
        good: "follow_up: {first_redressing: 2026-11-27}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let first = facts.case.follow_up.as_ref().and_then(|follow_up| follow_up.first_redressing);
    let first = first.map(|day| (Path::from("follow_up.first_redressing"), day));
    let later = facts.case.visits.iter().enumerate().filter_map(|(at, visit)| {
        let next = visit.next.as_ref()?;
        Some((Path::from(format!("visits[{at}].next.on")), next.on))
    });
    let operated = facts.case.operation.as_ref().map(|operation| operation.date);
    let is_after = |day: CivilDate| operated.is_none_or(|operated| operated <= day);
    let surgery = facts.case.booked.as_ref().filter(|_| operated.is_none());
    let surgery = surgery.map(|booked| (Path::from("booked.on"), booked.on));
    let dated = surgery.into_iter().chain(first).chain(later).filter(|(_, day)| is_after(*day));
    dated
        .filter_map(|(path, day)| {
            let (reason, next) = closed_on(&facts.clinic, day)?;
            let open =
                next.map_or_else(String::new, |next| format!(", {} is the next open one", next.clinical()));
            let fix = format!(
                "book another day{open}; if the clinic opens for this visit, say so under `accepted`"
            );
            Some(Finding::at(path).says(format!("{} is {reason}", day.clinical())).fix(fix))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says};

    #[test]
    fn a_weekend_a_bank_holiday_and_a_closed_day_are_found() {
        let on = |day: &str| {
            format!(
                "{{follow_up: {{first_redressing: {day}}}, clinic: {{protocol: {{closed: [2026-12-29]}}}}}}"
            )
        };
        assert!(paths(&RULE, &on("2026-11-27")).is_empty());
        assert_eq!(says(&RULE, &on("2026-11-28")), ["28-Nov-2026 is a Saturday"]);
        assert_eq!(says(&RULE, &on("2026-12-25")), ["25-Dec-2026 is Christmas Day"]);
        assert_eq!(says(&RULE, &on("2026-12-29")), ["29-Dec-2026 is a closed day of the clinic"]);
        let fix = findings(&RULE, &on("2026-12-25"))[0].fix.clone();
        assert!(fix.is_some_and(|fix| fix.contains("30-Dec-2026 is the next open one")));
    }

    #[test]
    fn later_visits_are_looked_at_and_those_before_the_operation_are_not() {
        let next = |day: &str| {
            format!("visits: [{{on: 2026-11-27, kind: redressing, next: {{kind: review, on: {day}}}}}]")
        };
        assert!(paths(&RULE, &next("2026-12-01")).is_empty());
        assert_eq!(paths(&RULE, &next("2026-12-05")), ["visits[0].next.on"]);
    }

    #[test]
    fn the_day_of_surgery_is_looked_at_until_it_is_done() {
        let booked = |day: &str| format!("{{operation: ~, booked: {{on: {day}}}}}");
        assert!(paths(&RULE, &booked("2026-12-01")).is_empty());
        assert_eq!(paths(&RULE, &booked("2026-12-05")), ["booked.on"]);
        assert!(paths(&RULE, "booked: {on: 2026-12-05}").is_empty(), "it has been done");
    }

    #[test]
    fn a_year_that_is_not_in_the_table_and_a_clinic_without_opening_days_are_not_judged() {
        assert!(paths(&RULE, "follow_up: {first_redressing: 2029-01-06}").is_empty());
        let never = "{follow_up: {first_redressing: 2026-12-05}, clinic: {protocol: {opening_days: []}}}";
        assert!(paths(&RULE, never).is_empty());
    }
}
