//! Every value of a case that is said not to be recorded, with its place and its reason.
//!
//! One list for rules and documents: what is missing from it would be a gap that nobody sees. A test
//! holds it against the schema.

use super::measured::Measured;
use super::model::{Case, DiabetesEntry, Injected, Observation, OneOrMany, OperatedToe, Operation, Vascular};
use crate::anatomy::{Side, Toe};
use crate::diagnostic::Path;

/// A value that is said not to be recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gap<'a> {
    /// Where the value would stand.
    pub path: Path,
    /// Why there is none, as typed.
    pub reason: &'a str,
}

/// The gaps that were found so far.
#[derive(Default)]
struct Found<'a>(Vec<Gap<'a>>);

impl<'a> Found<'a> {
    /// The path is put together only for a gap: a case has a hundred places for one and hardly ever any.
    fn look<T>(&mut self, path: impl FnOnce() -> Path, measured: &'a Measured<T>) {
        self.0.extend(measured.gap().map(|reason| Gap { path: path(), reason }));
    }
}

impl Case {
    /// Every value that is said not to be recorded, in the order of the model.
    pub fn gaps(&self) -> Vec<Gap<'_>> {
        let mut found = Found::default();
        found.look(|| "patient.weight".into(), &self.patient.weight);
        found.look(|| "patient.height".into(), &self.patient.height);
        if let Some(history) = &self.history {
            if let Some(DiabetesEntry::Some(diabetes)) = &history.diabetes {
                found.look(|| "history.diabetes.hba1c".into(), &diabetes.hba1c);
            }
            found.look(|| "history.inr".into(), &history.inr);
        }
        if let Some(vascular) = &self.vascular {
            of_circulation(vascular, &mut found);
        }
        if let Some(sensation) = &self.sensation {
            found.look(|| "sensation.right".into(), &sensation.right);
            found.look(|| "sensation.left".into(), &sensation.left);
        }
        if let Some(operation) = &self.operation {
            of_operation(operation, &mut found);
        }
        for (at, visit) in self.visits.iter().enumerate() {
            for (toe, seen) in visit.toes.iter().flat_map(|toes| toes.iter()) {
                let path = || Path::from(format!("visits[{at}].toes")).key(toe.code());
                found.look(|| path().key("redness"), &seen.redness);
                found.look(|| path().key("pain"), &seen.pain);
            }
        }
        found.0
    }
}

fn of_circulation<'a>(vascular: &'a Vascular, found: &mut Found<'a>) {
    if let Some(arms) = &vascular.brachial {
        found.look(|| "vascular.brachial.right".into(), &arms.right);
        found.look(|| "vascular.brachial.left".into(), &arms.left);
    }
    for (side, foot) in [(Side::Right, &vascular.right), (Side::Left, &vascular.left)] {
        let Some(foot) = foot else { continue };
        let path = || Path::from("vascular").key(side.word());
        found.look(|| path().key("dorsalis_pedis"), &foot.dorsalis_pedis);
        found.look(|| path().key("posterior_tibial"), &foot.posterior_tibial);
        found.look(|| path().key("toe"), &foot.toe);
        found.look(|| path().key("abpi"), &foot.abpi);
        found.look(|| path().key("pulses"), &foot.pulses);
        found.look(|| path().key("doppler"), &foot.doppler);
    }
}

fn of_operation<'a>(operation: &'a Operation, found: &mut Found<'a>) {
    found.look(|| "operation.start".into(), &operation.start);
    found.look(|| "operation.finish".into(), &operation.finish);
    for (step, agent) in operation.anaesthetic.iter().flat_map(|agents| agents.all()) {
        found.look(|| format!("operation.anaesthetic{step}.batch").into(), &agent.batch);
        found.look(|| format!("operation.anaesthetic{step}.expires").into(), &agent.expires);
        found.look(|| format!("operation.anaesthetic{step}.needle").into(), &agent.needle);
    }
    for (step, seen) in operation.observations.iter().flat_map(OneOrMany::<Observation>::all) {
        let path = || Path::from(format!("operation.observations{step}"));
        found.look(|| path().key("at"), &seen.at);
        found.look(|| path().key("blood_pressure"), &seen.blood_pressure);
        found.look(|| path().key("pulse"), &seen.pulse);
        found.look(|| path().key("glucose"), &seen.glucose);
    }
    for (at, pack) in operation.dressing_packs.iter().enumerate() {
        let path = || Path::from("operation.dressing_packs").index(at);
        found.look(|| path().key("batch"), &pack.batch);
        found.look(|| path().key("expires"), &pack.expires);
    }
    if let Some(leaving) = &operation.leaving {
        found.look(|| "operation.leaving.at".into(), &leaving.at);
    }
    if let Some(phenol) = &operation.phenol {
        found.look(|| "operation.phenol.batch".into(), &phenol.batch);
        found.look(|| "operation.phenol.expires".into(), &phenol.expires);
    }
    found.look(|| "operation.instruments".into(), &operation.instruments);
    if let Some(abandoned) = &operation.abandoned {
        found.look(|| "operation.abandoned.at".into(), &abandoned.at);
    }
    for (toe, done) in operation.toes.iter() {
        of_toe(toe, done, found);
    }
}

fn of_toe<'a>(toe: Toe, done: &'a OperatedToe, found: &mut Found<'a>) {
    let path = || Path::from("operation.toes").key(toe.code());
    found.look(|| path().key("injected"), &done.injected);
    if let Some(Injected::Each(each)) = done.injected.get() {
        for (at, injection) in each.iter().enumerate() {
            let path = || path().key("injected").index(at);
            found.look(|| path().key("volume"), &injection.volume);
            found.look(|| path().key("at"), &injection.at);
        }
    }
    found.look(|| path().key("at"), &done.at);
    found.look(|| path().key("numb_at"), &done.numb_at);
    if let Some(back) = &done.feeling_back {
        found.look(|| path().key("feeling_back").key("at"), &back.at);
    }
    if let Some(tourniquet) = &done.tourniquet {
        let path = || path().key("tourniquet");
        found.look(|| path().key("on"), &tourniquet.on);
        found.look(|| path().key("off"), &tourniquet.off);
    }
    if let Some(phenol) = &done.phenol {
        let path = || path().key("phenol");
        found.look(|| path().key("applications"), &phenol.applications);
        found.look(|| path().key("each"), &phenol.each);
    }
    found.look(|| path().key("refill"), &done.refill);
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use serde_json::Value as Json;

    use crate::case::{NOT_RECORDED_KEY, case_schema};
    use crate::rules::example::facts_of;

    /// Every place of the schema that takes a gap, without the toe or the side: `operation.toes.refill`.
    fn places(root: &Json, schema: &Json, path: &[String], found: &mut BTreeSet<String>) {
        if let Some(name) = schema["$ref"].as_str() {
            return places(
                root,
                root.pointer(name.trim_start_matches('#')).expect("it is there"),
                path,
                found,
            );
        }
        for branch in ["anyOf", "oneOf"] {
            for one in schema[branch].as_array().into_iter().flatten() {
                places(root, one, path, found);
            }
        }
        if !schema["items"].is_null() {
            places(root, &schema["items"], path, found);
        }
        for (key, below) in schema["properties"].as_object().into_iter().flatten() {
            if key == NOT_RECORDED_KEY {
                found.insert(path.join("."));
            } else {
                places(root, below, &[path, std::slice::from_ref(key)].concat(), found);
            }
        }
    }

    /// All toes of the schema are one toe here, and both sides of the feet stay apart.
    fn plain(path: &str) -> String {
        let keys = path.split('.').map(|key| key.split('[').next().unwrap_or(key));
        keys.filter(|key| !crate::anatomy::Toe::ALL.iter().any(|toe| toe.code() == *key))
            .collect::<Vec<_>>()
            .join(".")
    }

    #[test]
    fn every_place_that_takes_a_gap_is_looked_at() {
        let schema = case_schema();
        let mut wanted = BTreeSet::new();
        places(&schema, &schema, &[], &mut wanted);
        let wanted: BTreeSet<String> = wanted.iter().map(|path| plain(path)).collect();
        let gap = "{not_recorded: reason}";
        let foot = format!(
            "{{dorsalis_pedis: {gap}, posterior_tibial: {gap}, toe: {gap}, abpi: {gap}, pulses: {gap}, doppler: {gap}}}"
        );
        let all = |injected: &str, anaesthetic: &str, observations: &str| {
            facts_of(&format!(
                "patient: {{weight: {gap}, height: {gap}}}
history: {{diabetes: {{type: 2, hba1c: {gap}}}, inr: {gap}}}
vascular: {{brachial: {{right: {gap}, left: {gap}}}, right: {foot}, left: {foot}}}
sensation: {{right: {gap}, left: {gap}}}
operation:
  start: {gap}
  finish: {gap}
  anaesthetic: {anaesthetic}
  phenol: {{strength: 89 %, batch: {gap}, expires: {gap}}}
  instruments: {gap}
  observations: {observations}
  dressing_packs: [{{item: gauze, batch: {gap}, expires: {gap}}}]
  leaving: {{at: {gap}}}
  abandoned: {{because: reason, at: {gap}}}
  toes:
    L1: {{injected: {injected}, at: {gap}, numb_at: {gap}, feeling_back: {{at: {gap}}}, tourniquet: {{on: {gap}, off: {gap}}},
         phenol: {{applications: {gap}, each: {gap}}}, refill: {gap}}}
visits:
  - {{on: 2026-11-27, kind: redressing, toes: {{L1: {{redness: {gap}, pain: {gap}}}}}}}"
            ))
        };
        let agent =
            format!("{{agent: mepivacaine, strength: 3 %, batch: {gap}, expires: {gap}, needle: {gap}}}");
        let seen = format!("{{at: {gap}, blood_pressure: {gap}, pulse: {gap}, glucose: {gap}}}");
        let one = all(gap, &agent, &seen);
        let several =
            all(&format!("[{{volume: {gap}, at: {gap}}}]"), &format!("[{agent}]"), &format!("[{seen}]"));
        let found: BTreeSet<String> = [&one, &several]
            .into_iter()
            .flat_map(|facts| facts.case.gaps())
            .map(|gap| plain(&gap.path.to_string()))
            .collect();
        assert_eq!(found, wanted);
    }
}
