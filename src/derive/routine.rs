//! What is said of the seven things that a clinic does the same way with everybody: in the case, or by
//! `routine: as protocol` in the clinic's protocol. Nothing else ever comes from there.

use std::collections::BTreeMap;

use super::Given;
use crate::anatomy::Toe;
use crate::case::Urgency;

/// An answer, and who gave it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum Said<T> {
    /// Nobody.
    #[default]
    NotSaid,
    /// The case.
    Typed(T),
    /// The clinic's protocol.
    OfProtocol(T),
}

impl<T> Said<T> {
    /// The answer, whoever gave it.
    pub fn get(&self) -> Option<&T> {
        match self {
            Said::NotSaid => None,
            Said::Typed(answer) | Said::OfProtocol(answer) => Some(answer),
        }
    }

    /// It is the protocol's.
    pub fn is_protocol(&self) -> bool {
        matches!(self, Said::OfProtocol(_))
    }

    fn of(typed: Option<T>, protocol: Option<T>) -> Said<T> {
        match (typed, protocol) {
            (Some(typed), _) => Said::Typed(typed),
            (None, Some(protocol)) => Said::OfProtocol(protocol),
            (None, None) => Said::NotSaid,
        }
    }
}

/// The seven answers. The technique stands with each anaesthetic.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Routine {
    /// Elective or emergency.
    pub urgency: Said<Urgency>,
    /// Antibiotic prophylaxis.
    pub antibiotics: Said<String>,
    /// Prophylaxis against venous thrombosis.
    pub vte_prophylaxis: Said<String>,
    /// Skin preparation: of the protocol also where the case is silent, if there is a wound.
    pub skin_preparation: Said<String>,
    /// The dressing: as for the skin.
    pub dressing: Said<String>,
    /// What the groove was washed with: of the protocol only where phenol was used.
    pub lavage: BTreeMap<Toe, Said<String>>,
    /// What `routine: as protocol` needs of the protocol and does not find, as keys of it.
    pub lacking: Vec<&'static str>,
}

impl Routine {
    /// The protocol answers for a key of the operation.
    pub fn answers(&self, key: &str) -> bool {
        match key {
            "urgency" => self.urgency.is_protocol(),
            "antibiotics" => self.antibiotics.is_protocol(),
            "vte_prophylaxis" => self.vte_prophylaxis.is_protocol(),
            _ => false,
        }
    }
}

/// What is said of each, and by whom.
pub(super) fn routine_of(given: Given<'_>) -> Routine {
    let Some(operation) = &given.case.operation else { return Routine::default() };
    let protocol = &given.clinic.protocol;
    let is_typed = operation.routine.is_some();
    // A blank is no answer of the protocol; in a case it is the business of other rules.
    let words = |text: &Option<String>| text.clone().filter(|text| !text.trim().is_empty());
    let usual = |text: &Option<String>| words(text).filter(|_| is_typed);
    // What the clinic always does with a wound is not said of a toe that has none.
    let has_wound = !operation.is_given_up();
    let dressing = (!protocol.dressing.is_empty() && has_wound).then(|| protocol.dressing.join(", "));
    let toes = operation.toes.iter().map(|(toe, done)| {
        let is_washed = done.phenol.is_some() && done.nail.nail().is_some();
        (toe, Said::of(done.lavage.clone(), usual(&protocol.lavage).filter(|_| is_washed)))
    });
    let mut routine = Routine {
        urgency: Said::of(operation.urgency, protocol.urgency.filter(|_| is_typed)),
        antibiotics: Said::of(operation.antibiotics.clone(), usual(&protocol.antibiotics)),
        vte_prophylaxis: Said::of(operation.vte_prophylaxis.clone(), usual(&protocol.vte_prophylaxis)),
        skin_preparation: Said::of(
            operation.skin_preparation.clone(),
            words(&protocol.skin_preparation).filter(|_| has_wound),
        ),
        dressing: Said::of(operation.dressing.clone(), dressing),
        lavage: toes.collect(),
        lacking: Vec::new(),
    };
    if is_typed {
        let entries = operation.anaesthetic.as_ref().map_or_else(Vec::new, |all| all.all());
        let needs_technique = entries.iter().any(|(_, entry)| entry.technique.is_none());
        let needs_lavage = operation.operated().any(|(toe, done)| {
            done.phenol.is_some() && routine.lavage.get(&toe).is_none_or(|said| said.get().is_none())
        });
        let lacking = [
            ("technique", needs_technique && words(&protocol.technique).is_none()),
            ("skin_preparation", has_wound && routine.skin_preparation.get().is_none()),
            ("lavage", needs_lavage),
            ("dressing", has_wound && routine.dressing.get().is_none()),
            ("urgency", routine.urgency.get().is_none()),
            ("antibiotics", routine.antibiotics.get().is_none()),
            ("vte_prophylaxis", routine.vte_prophylaxis.get().is_none()),
        ];
        routine.lacking = lacking.into_iter().filter(|(_, lacks)| *lacks).map(|(key, _)| key).collect();
    }
    routine
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    const PROTOCOL: &str = "clinic: {protocol: {lavage: sterile saline, urgency: elective, antibiotics: none, \
                            vte_prophylaxis: none}}";

    fn of(operation: &str) -> Routine {
        facts_of(&format!("{{{PROTOCOL}, operation: {{{operation}}}}}")).derived.routine
    }

    #[test]
    fn the_protocol_answers_only_where_the_line_is_typed_and_the_case_is_silent() {
        let silent = "urgency: ~, antibiotics: ~, vte_prophylaxis: ~, toes: {L1: {lavage: ~}}";
        let without = of(silent);
        assert_eq!((without.urgency, without.lavage[&Toe::L1].clone()), (Said::NotSaid, Said::NotSaid));
        let with = of(&format!("routine: as protocol, {silent}"));
        assert_eq!(with.urgency, Said::OfProtocol(Urgency::Elective));
        assert_eq!(with.lavage[&Toe::L1], Said::OfProtocol("sterile saline".to_owned()));
        let beside = of("routine: as protocol, antibiotics: \"cefalexin, once\"");
        assert_eq!(beside.antibiotics, Said::Typed("cefalexin, once".to_owned()));
        assert_eq!(beside.lavage[&Toe::L1], Said::Typed("saline".to_owned()));
    }

    #[test]
    fn a_toe_without_phenol_is_not_said_to_have_been_washed() {
        let plain = of("routine: as protocol, phenol: ~, toes: {L1: {phenol: ~, lavage: ~}}");
        assert_eq!(plain.lavage[&Toe::L1], Said::NotSaid);
        assert!(plain.lacking.is_empty());
    }
}
