//! A value that is said not to be recorded, with its reason. A value that is silently missing is the
//! business of the rule that needs it.

use crate::anatomy::Toe;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Path, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "record-gap",
    topic: Topic::Records,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "a value is said not to be recorded",
    why: "A gap that is said, with its reason, is a true record; a number put there to fill it is not. \
          Nothing is worked out from a gap, so what rests on it has to be judged by a person.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for full, clear and accurate records; asking for an answer to each gap is ours",
    ),
    limits: "Takes the reason as typed. A gap at a value whose absence no rule minds, such as the height or \
             a pressure, is only a note. A reason that says nothing, such as `true` or `unknown`, is a stop.",
    example: Example {
        bad: "operation: {toes: {L1: {refill: {not_recorded: \"pink and warm at once, not timed\"}}}}",
        good: "operation: {toes: {L1: {refill: 2 s}}}",
    },
    check,
};

/// Values that may be missing without a word: saying why must not weigh more than silence.
const MAY_BE_MISSING: &[&str] = &[
    "height",
    "dorsalis_pedis",
    "posterior_tibial",
    "toe",
    "abpi",
    "doppler",
    "right",
    "left",
    "redness",
    "pain",
];

/// What is no reason.
const NO_REASON: &[&str] = &[
    "true",
    "false",
    "yes",
    "no",
    "y",
    "n",
    "none",
    "unknown",
    "not known",
    "not recorded",
    "not_recorded",
    "n/a",
    "na",
    "nil",
    "?",
    "-",
    "–",
    "…",
    "...",
    "reason",
];

fn check(facts: &Facts) -> Vec<Finding> {
    let gap = |gap: crate::case::Gap<'_>| {
        let reason = gap.reason.trim();
        let finding = Finding::at(gap.path.clone());
        if is_no_reason(reason) {
            return finding
                .says(format!("`{reason}` gives no reason"))
                .fix("write why there is no value, in words that can be printed")
                .weighs(Severity::Stop);
        }
        let weight = if may_be_missing(&gap.path) { Severity::Note } else { Severity::Caution };
        finding
            .says(format!("{} not recorded: {reason}", name_of(&gap.path)))
            .fix("enter the value if it was noted elsewhere; else say under `accepted` what follows from the gap")
            .weighs(weight)
    };
    facts.case.gaps().into_iter().map(gap).collect()
}

/// What a gap is called: its key in words, with the toe or the side that it belongs to.
fn name_of(path: &Path) -> String {
    const NAMES: &[(&str, &str)] = &[
        ("hba1c", "HbA1c"),
        ("inr", "INR"),
        ("dorsalis_pedis", "dorsalis pedis pressure"),
        ("abpi", "ankle-brachial index"),
        ("posterior_tibial", "posterior tibial pressure"),
        ("toe", "toe pressure"),
        ("expires", "expiry"),
        ("injected", "volume injected"),
        ("volume", "volume injected"),
        ("at", "time of the injection"),
        ("on", "time the tourniquet went on"),
        ("off", "time the tourniquet came off"),
        ("applications", "number of phenol applications"),
        ("each", "time of each phenol application"),
    ];
    let path = path.to_string();
    let keys: Vec<&str> = path.split(['.', '[']).filter(|key| !key.ends_with(']')).collect();
    let last = keys.last().copied().unwrap_or_default();
    let name = match last {
        "at" if keys.contains(&"abandoned") => "time at which it was given up".to_owned(),
        "right" | "left" if keys.contains(&"brachial") => format!("{last} arm pressure"),
        "right" | "left" => format!("sensation, {last} foot"),
        _ => NAMES.iter().find(|(key, _)| *key == last).map_or(last, |(_, name)| name).replace('_', " "),
    };
    let place = keys.iter().rev().skip(1).find(|key| {
        matches!(**key, "right" | "left" | "anaesthetic" | "phenol") && **key != last
            || Toe::ALL.iter().any(|toe| toe.code() == **key)
    });
    match place {
        None if keys.contains(&"dressing_packs") => format!("{name} (dressing)"),
        // The number and the time of applications name the phenol themselves.
        Some(&"phenol") if keys.contains(&"toes") => {
            let toe = keys.iter().find(|key| Toe::ALL.iter().any(|toe| toe.code() == **key));
            toe.map_or_else(|| name.clone(), |toe| format!("{name} ({toe})"))
        }
        Some(place) => format!("{name} ({place})"),
        None => name,
    }
}

fn is_no_reason(reason: &str) -> bool {
    let reason = reason.to_lowercase();
    reason.chars().all(|c| !c.is_alphanumeric()) || NO_REASON.contains(&reason.trim_end_matches('.'))
}

fn may_be_missing(path: &Path) -> bool {
    let key = path.last_key().unwrap_or_default();
    // Sensation has a right and a left too, and is asked for in diabetes.
    MAY_BE_MISSING.contains(&key) && !path.to_string().starts_with("sensation.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::check_all;
    use crate::rules::example::facts_of;
    use crate::rules::testing::{paths, says, weights};

    fn weight(entry: &str) -> String {
        format!("patient: {{weight: {entry}}}")
    }

    #[test]
    fn a_value_passes_and_a_gap_is_said_with_its_reason() {
        assert!(paths(&RULE, &weight("68 kg")).is_empty());
        assert!(paths(&RULE, &weight("~")).is_empty(), "silence is `weight-missing`");
        assert_eq!(paths(&RULE, &weight("{not_recorded: scale broken}")), ["patient.weight"]);
        assert_eq!(
            says(&RULE, &weight("{not_recorded: scale broken}")),
            ["weight not recorded: scale broken"]
        );
    }

    #[test]
    fn each_gap_is_named() {
        for (path, wanted) in [
            ("patient.weight", "weight"),
            ("history.diabetes.hba1c", "HbA1c"),
            ("vascular.brachial.left", "left arm pressure"),
            ("vascular.right.toe", "toe pressure (right)"),
            ("vascular.left.pulses", "pulses (left)"),
            ("sensation.left", "sensation, left foot"),
            ("operation.finish", "finish"),
            ("operation.anaesthetic[1].batch", "batch (anaesthetic)"),
            ("operation.phenol.expires", "expiry (phenol)"),
            ("operation.dressing_packs[0].batch", "batch (dressing)"),
            ("operation.instruments", "instruments"),
            ("operation.toes.L1.injected[0].volume", "volume injected (L1)"),
            ("operation.toes.L1.tourniquet.off", "time the tourniquet came off (L1)"),
            ("operation.toes.R2.phenol.each", "time of each phenol application (R2)"),
            ("operation.toes.R2.refill", "refill (R2)"),
        ] {
            assert_eq!(name_of(&Path::from(path)), wanted, "{path}");
        }
    }

    #[test]
    fn a_reason_that_says_nothing_is_a_stop() {
        for word in ["\"true\"", "unknown", "\"Not recorded.\"", "\"?\"", "\" \"", "n/a", "\"...\""] {
            assert_eq!(
                weights(&RULE, &weight(&format!("{{not_recorded: {word}}}"))),
                [Severity::Stop],
                "{word}"
            );
        }
        let short = weight("{not_recorded: no scale}");
        assert_eq!(weights(&RULE, &short), [Severity::Caution]);
    }

    #[test]
    fn what_may_be_missing_without_a_word_is_only_a_note() {
        let gap = "{not_recorded: in a wheelchair}";
        assert_eq!(weights(&RULE, &format!("patient: {{height: {gap}}}")), [Severity::Note]);
        assert_eq!(weights(&RULE, &format!("vascular: {{left: {{toe: {gap}}}}}")), [Severity::Note]);
        assert_eq!(weights(&RULE, &format!("vascular: {{left: {{pulses: {gap}}}}}")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &format!("sensation: {{left: {gap}}}")), [Severity::Caution]);
    }

    /// The stop of the bare missing value gives way to the reason, and nothing else takes its place.
    #[test]
    fn a_gap_is_one_caution_where_silence_is_a_stop() {
        let gap = "{not_recorded: clock stopped}";
        for (silent, said) in [
            ("patient: {weight: ~}".to_owned(), weight(gap)),
            (
                "operation: {toes: {L1: {injected: ~}}}".to_owned(),
                format!("operation: {{toes: {{L1: {{injected: {gap}}}}}}}"),
            ),
            (
                "operation: {toes: {L1: {refill: ~}}}".to_owned(),
                format!("operation: {{toes: {{L1: {{refill: {gap}}}}}}}"),
            ),
            (
                "operation: {toes: {L1: {tourniquet: {off: ~}}}}".to_owned(),
                format!("operation: {{toes: {{L1: {{tourniquet: {{off: {gap}}}}}}}}}"),
            ),
        ] {
            let stops = |fragment: &str| {
                let all = check_all(&facts_of(fragment));
                let severity = |(rule, found): &(&Rule, Finding)| found.severity.unwrap_or(rule.severity);
                all.iter().filter(|found| severity(found) == Severity::Stop).count()
            };
            assert_eq!((stops(&silent), stops(&said)), (1, 0), "{said}");
            let names: Vec<&str> = check_all(&facts_of(&said)).iter().map(|(rule, _)| rule.name).collect();
            assert_eq!(names, ["record-gap"], "{said}");
        }
    }
}
