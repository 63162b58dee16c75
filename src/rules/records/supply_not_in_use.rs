//! A box of the clinic's supplies named on a day on which nothing was taken from it. An anaesthetic or phenol
//! past its expiry has a rule of its own, typed in full or by key.

use crate::case::{Measured, Operation, Supply};
use crate::clinical::Cite;
use crate::date::CivilDate;
use crate::diagnostic::{Finding, Path, Severity};
use crate::facts::Facts;
use crate::rules::boxes::place;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "supply-not-in-use",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "the box was not in use on the day of surgery",
    why: "Batch and expiry come from the box that is named. If it was not open on that day, they are those of \
          another box, and a recall would miss this patient.",
    cite: Cite::project_default("the days of a box are those of the clinic file"),
    limits: "Knows the days that the clinic file states; a box without them fits every day. A batch that is typed \
             beside the key is not compared.",
    example: Example {
        bad: "{clinic: {supplies: {mepi: {agent: mepivacaine, strength: 3 %, batch: M4417, expires: 2027-08, \
              opened: 2026-11-25}}}, operation: {anaesthetic: {supply: mepi}}}",
        good: "{clinic: {supplies: {mepi: {agent: mepivacaine, strength: 3 %, batch: M4417, expires: 2027-08, \
               opened: 2026-11-24}}}, operation: {anaesthetic: {supply: mepi}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let day = operation.date;
    let mut findings = Vec::new();
    for (path, key, batch) in named(operation) {
        let Some(supply) = facts.clinic.supplies.get(key) else { continue };
        // Another batch that is typed beside the key is of another box.
        if batch.get() != Some(&supply.batch) {
            continue;
        }
        let Some((which, says)) = outside(supply, key, day) else { continue };
        findings.push(
            Finding::at(path.key("supply"))
                .says(says.clone())
                .see("operation.date", format!("used on {}", day.clinical()))
                .see_in_clinic(place(key, which), "the day stands here")
                .fix("name the box that was used, or correct its days in the clinic file"),
        );
    }
    findings
}

/// The boxes that an operation names: where, the key, and the batch that counts.
fn named(operation: &Operation) -> Vec<(Path, &str, &Measured<String>)> {
    let agents = operation.anaesthetic.iter().flat_map(|all| all.all()).filter_map(|(step, one)| {
        Some((Path::from(format!("operation.anaesthetic{step}")), one.supply.as_deref()?, &one.batch))
    });
    let phenol = operation
        .phenol
        .iter()
        .filter_map(|one| Some((Path::from("operation.phenol"), one.supply.as_deref()?, &one.batch)));
    let packs = operation.dressing_packs.iter().enumerate().filter_map(|(at, one)| {
        Some((Path::from("operation.dressing_packs").index(at), one.supply.as_deref()?, &one.batch))
    });
    agents.chain(phenol).chain(packs).collect()
}

/// The day of the box that speaks against it, and how.
fn outside(supply: &Supply, key: &str, day: CivilDate) -> Option<(&'static str, String)> {
    let said = |what: &str, on: String| format!("`{key}` {what} {on}");
    if let Some(opened) = supply.opened.filter(|opened| day < *opened) {
        return Some(("opened", said("was opened", opened.clinical())));
    }
    let finished = supply.finished.filter(|finished| *finished < day)?;
    Some(("finished", said("was finished", finished.clinical())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, says};

    fn of(days: &str, entry: &str) -> String {
        format!(
            "{{clinic: {{supplies: {{mepi: {{agent: mepivacaine, strength: 3 %, batch: M4417, expires: 2027-08, {days}}}, \
             ph: {{agent: phenol, strength: 89 %, batch: P203, expires: 2027-03, {days}}}, \
             pads: {{dressing: gauze, batch: D1, expires: 2027-10, {days}}}}}}}, operation: {{{entry}}}}}"
        )
    }

    #[test]
    fn the_day_itself_passes_on_both_sides() {
        let mepi = "anaesthetic: {supply: mepi}";
        for (days, expected) in [
            ("opened: 2026-11-24", &[][..]),
            ("opened: 2026-11-25", &["`mepi` was opened 25-Nov-2026"]),
            ("finished: 2026-11-24", &[]),
            ("finished: 2026-11-23", &["`mepi` was finished 23-Nov-2026"]),
        ] {
            assert_eq!(says(&RULE, &of(days, mepi)), expected, "{days}");
        }
    }

    #[test]
    fn phenol_and_dressings_have_boxes_too() {
        let late = of(
            "finished: 2026-11-01",
            "phenol: {supply: ph}, dressing_packs: [{supply: pads, item: gauze, batch: D1}]",
        );
        assert_eq!(says(&RULE, &late), ["`ph` was finished 01-Nov-2026", "`pads` was finished 01-Nov-2026"]);
    }

    #[test]
    fn the_line_of_the_clinic_file_is_named_and_another_batch_is_another_box() {
        let found = findings(&RULE, &of("finished: 2026-11-01", "anaesthetic: {supply: mepi}"));
        assert_eq!(found[0].path.to_string(), "operation.anaesthetic.supply");
        assert_eq!(found[0].see_in_clinic[0].0.to_string(), "supplies.mepi.finished");
        assert!(
            says(&RULE, &of("finished: 2026-11-01", "anaesthetic: {supply: mepi, batch: M9}")).is_empty()
        );
    }
}
