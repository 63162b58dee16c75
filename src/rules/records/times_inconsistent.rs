//! Times of day of the operation that cannot all be true. The order of tourniquet on and off is
//! `tourniquet-order`.

use crate::case::Injected;
use crate::clinical::{Cite, sources};
use crate::date::TimeOfDay;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// A time that nobody can put right any more is a gap with its reason, not a guess.
const FIX: &str = "correct the time that was written wrongly; if nobody knows the right one, write why, like \
                   `{not_recorded: clock found to be wrong}`";

pub(super) static RULE: Rule = Rule {
    name: "times-inconsistent",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&["operation-note", "aftercare-leaflet"]),
    title: "the times of the operation do not agree",
    why: "Numbness, tourniquet time and the length of the operation are worked out from these times and \
          told to the patient.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the times is ours",
    ),
    limits: "Takes start and finish to include the injection and the tourniquet, all on one day. Times that \
             are wrong but possible are not seen.",
    example: Example {
        bad: r#"operation: {start: "10:30", finish: "10:20"}"#,
        good: r#"operation: {start: "09:30", finish: "10:20"}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let (start, finish) = (operation.start.value(), operation.finish.value());
    if let (Some(start), Some(finish)) = (start, finish)
        && finish < start
    {
        // Against a wrong frame every other time would be found too: one cause, one message.
        return vec![
            Finding::at("operation.finish")
                .says(format!("finished at {}", finish.clinical()))
                .see("operation.start", format!("started at {}", start.clinical()))
                .fix(FIX),
        ];
    }
    let left = operation.leaving.as_ref().and_then(|leaving| leaving.at.value());
    let left = left.zip(finish).filter(|(left, finish)| left < finish).map(|(left, finish)| {
        Finding::at("operation.leaving.at")
            .says(format!("left at {}, before the finish", left.clinical()))
            .see("operation.finish", format!("finished at {}", finish.clinical()))
            .fix(FIX)
    });
    times(facts)
        .into_iter()
        .filter_map(|(path, what, time)| {
            let (bound, word, limit) = match (start, finish) {
                (Some(start), _) if time < start => ("operation.start", "started", start),
                (_, Some(finish)) if finish < time => ("operation.finish", "finished", finish),
                _ => return None,
            };
            let side = if word == "started" { "before the start" } else { "after the finish" };
            Some(
                Finding::at(path)
                    .says(format!("{what} at {}, {side}", time.clinical()))
                    .see(bound, format!("{word} at {}", limit.clinical()))
                    .fix(FIX),
            )
        })
        .chain(left)
        .collect()
}

/// Every time of day within the operation: where it stands, what it is, when.
fn times(facts: &Facts) -> Vec<(String, &'static str, TimeOfDay)> {
    let mut times = Vec::new();
    for (toe, done) in facts.treated() {
        let toe = format!("operation.toes.{toe}");
        times.extend(done.at.value().map(|at| (format!("{toe}.at"), "injected", at)));
        times.extend(done.numb_at.value().map(|at| (format!("{toe}.numb_at"), "tested", at)));
        if let Some(Injected::Each(each)) = done.injected.get() {
            for (place, injection) in each.iter().enumerate() {
                let at = injection.at.value();
                times.extend(at.map(|at| (format!("{toe}.injected[{place}].at"), "injected", at)));
            }
        }
        if let Some(tourniquet) = &done.tourniquet {
            let (on, off) = (tourniquet.on.value(), tourniquet.off.value());
            times.extend(on.map(|on| (format!("{toe}.tourniquet.on"), "tourniquet on", on)));
            times.extend(off.map(|off| (format!("{toe}.tourniquet.off"), "tourniquet off", off)));
        }
    }
    times
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn finish_may_equal_start_but_not_come_before() {
        let frame = |finish: &str| {
            format!(
                "operation: {{start: \"09:30\", finish: \"{finish}\", \
                  toes: {{L1: {{at: \"09:30\", tourniquet: ~}}}}}}"
            )
        };
        assert!(paths(&RULE, &frame("09:30")).is_empty());
        assert_eq!(paths(&RULE, &frame("09:29")), ["operation.finish"]);
    }

    /// The base case runs from 09:30 to 10:20.
    #[test]
    fn injection_and_tourniquet_lie_within() {
        let toe = |words: &str| format!("operation: {{toes: {{L1: {{{words}}}}}}}");
        assert!(paths(&RULE, &toe("at: \"09:30\", tourniquet: {off: \"10:20\"}")).is_empty());
        assert_eq!(says(&RULE, &toe("at: \"09:29\"")), ["injected at 09:29, before the start"]);
        assert_eq!(paths(&RULE, &toe("tourniquet: {off: \"10:21\"}")), ["operation.toes.L1.tourniquet.off"]);
        assert_eq!(
            paths(&RULE, &toe("injected: [{volume: 1 ml, at: \"10:21\"}]")),
            ["operation.toes.L1.injected[0].at"]
        );
    }

    #[test]
    fn half_a_frame_is_used_as_far_as_it_goes() {
        let open = "operation: {start: ~, toes: {L1: {at: \"08:00\", tourniquet: {off: \"10:21\"}}}}";
        assert_eq!(paths(&RULE, open), ["operation.toes.L1.tourniquet.off"]);
    }

    #[test]
    fn the_test_of_the_block_and_the_leaving_are_compared_too() {
        let numb = |at: &str| paths(&RULE, &format!("operation: {{toes: {{L1: {{numb_at: \"{at}\"}}}}}}"));
        assert!(numb("09:30").is_empty() && numb("10:20").is_empty());
        assert_eq!(numb("09:29"), ["operation.toes.L1.numb_at"]);
        let left = |at: &str| paths(&RULE, &format!("operation: {{leaving: {{at: \"{at}\"}}}}"));
        assert!(left("10:20").is_empty());
        assert_eq!(left("10:19"), ["operation.leaving.at"]);
    }
}
