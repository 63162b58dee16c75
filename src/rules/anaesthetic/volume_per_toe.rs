//! More anaesthetic in one toe than is stated for a digit, by its strength.

use super::{entries, injections, is_same};
use crate::clinical::tables::{Agent, agent};
use crate::clinical::thresholds::Threshold;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::units::{Millilitres, Percent, round_down};
use rust_decimal::Decimal;

pub(super) static RULE: Rule = Rule {
    name: "volume-per-toe",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "a large volume of anaesthetic in one toe",
    why: "A toe has little room: a large volume presses on its vessels.",
    cite: Cite::adapts(
        &sources::anaesthetic::MEPIVACAINE_MONOGRAPH,
        "chiropody dose",
        "132 mg, 4.4 ml of 3 %, for each digit are stated for mepivacaine; 4.4 ml of other agents from 2 %, and \
         6 ml of any weaker solution, are ours",
    ),
    limits: "Counts over all agents and top-ups of one toe, not where or how fast they were injected, nor \
             whether at both sides. The most itself passes.",
    example: Example {
        bad: "operation: {toes: {L1: {injected: 4.5 ml}}}",
        good: "operation: {toes: {L1: {injected: 4.4 ml}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let all = injections(facts);
    let entries = entries(facts);
    let most_of = |typed: Option<&str>| {
        let mut meant =
            entries.iter().filter(|(_, entry)| typed.is_none_or(|typed| is_same(typed, &entry.agent)));
        // An agent that is not listed, or listed twice, is another rule; here the lower figure counts.
        let first = meant.next().map(|(_, entry)| most(agent(&entry.agent), entry.strength));
        meant.fold(first, |least, (_, entry)| {
            least.map(|least| least.min(most(agent(&entry.agent), entry.strength)))
        })
    };
    let mut findings = Vec::new();
    for (toe, _) in facts.treated() {
        let here: Vec<_> = all.iter().filter(|injection| injection.toe == toe).collect();
        let shares = here.iter().filter_map(|injection| {
            let most = most_of(injection.agent.as_deref())
                .unwrap_or_else(|| Threshold::MuchOfStrongInToeOver.number());
            Some((injection.volume?.number(), most))
        });
        let shares: Vec<(Decimal, Decimal)> = shares.collect();
        let used: Decimal = shares.iter().map(|(volume, most)| volume / most).sum();
        if used.round_dp(12) <= Decimal::ONE {
            continue;
        }
        let total = Millilitres(shares.iter().map(|(volume, _)| volume).sum());
        let Some(least) = shares.iter().map(|(_, most)| Millilitres(*most)).min_by_key(|most| most.0) else {
            continue;
        };
        let says = if shares.iter().all(|(_, most)| *most == least.0) {
            format!("{total} in {}; more than {least} of this solution is much for a toe", named(toe))
        } else {
            format!("{total} in {}; of these solutions together that is much for a toe", named(toe))
        };
        findings.push(
            Finding::at(format!("operation.toes.{toe}.injected"))
                .says(says)
                .fix("correct the volume, or say under `accepted` why so much and how the toe was after"),
        );
    }
    findings
}

/// ml of one solution: what the agent's own text allows for a digit, else by the strength.
fn most(agent: Option<&Agent>, strength: Percent) -> Decimal {
    let most_of_any = Threshold::MuchOfAnyInToeOver.number();
    let is_strong = Threshold::StrongSolutionFrom.number() <= strength.number();
    let by_strength = if is_strong { Threshold::MuchOfStrongInToeOver.number() } else { most_of_any };
    let own = agent.and_then(|agent| agent.most_per_toe);
    own.and_then(|own| own.dose.number().checked_div(strength.number() * Decimal::TEN))
        .map_or(by_strength, |volume| round_down(volume, 1).min(most_of_any))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn injected(volume: &str) -> String {
        format!("operation: {{toes: {{L1: {{injected: {volume}}}}}}}")
    }

    fn of(entry: &str, volume: &str) -> String {
        format!("operation: {{anaesthetic: {{{entry}}}, toes: {{L1: {{injected: {volume} ml}}}}}}")
    }

    #[test]
    fn the_volume_itself_passes() {
        assert!(paths(&RULE, &injected("4.4 ml")).is_empty());
        assert_eq!(
            says(&RULE, &injected("4.41 ml")),
            ["4.41 ml in L1 (left hallux); more than 4.4 ml of this solution is much for a toe"]
        );
    }

    #[test]
    fn a_weaker_solution_may_be_more() {
        let one = "agent: lidocaine, strength: 1 %";
        assert!(paths(&RULE, &of(one, "6")).is_empty());
        assert_eq!(paths(&RULE, &of(one, "6.1")).len(), 1);
        let two = "agent: lidocaine, strength: 2 %";
        assert!(paths(&RULE, &of(two, "4.4")).is_empty());
        assert_eq!(paths(&RULE, &of(two, "4.5")).len(), 1);
        // 132 mg of 2 % would be 6.6 ml: no solution may be more than 6 ml.
        let weak_mepivacaine = "strength: 2 %";
        assert!(paths(&RULE, &of(weak_mepivacaine, "6")).is_empty());
        assert_eq!(paths(&RULE, &of(weak_mepivacaine, "6.1")).len(), 1);
    }

    #[test]
    fn top_ups_add_up() {
        assert!(paths(&RULE, &injected("[{volume: 2.2 ml}, {volume: 2.2 ml}]")).is_empty());
        assert_eq!(
            paths(&RULE, &injected("[{volume: 2.2 ml}, {volume: 2.3 ml}]")),
            ["operation.toes.L1.injected"]
        );
    }

    /// 2.2 of 4.4 ml and 3 of 6 ml are the whole of it.
    #[test]
    fn two_solutions_share_the_room() {
        let two = |lidocaine: &str| {
            format!(
                "operation: {{anaesthetic: [{{agent: mepivacaine, strength: 3 %}}, {{agent: lidocaine, strength: 1 %}}], \
                 toes: {{L1: {{injected: [{{agent: mepivacaine, volume: 2.2 ml}}, \
                 {{agent: lidocaine, volume: {lidocaine} ml}}]}}}}}}"
            )
        };
        assert!(paths(&RULE, &two("3")).is_empty());
        assert_eq!(paths(&RULE, &two("3.1")), ["operation.toes.L1.injected"]);
    }
}
