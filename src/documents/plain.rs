//! What the consent form and the leaflet share: the patient's own words for toes, visits and what
//! this patient's history changes. Strings and booleans only; no sentence stands here, and nothing
//! is judged to be allowed.

use serde::Serialize;

use crate::case::{Edge, Nail, Need, Side, Toe};
use crate::clinical::{Cite, sources};
use crate::date::CivilDate;
use crate::derive::{BySide, Fact};
use crate::diagnostic::english::List;
use crate::facts::Facts;

/// A number that a patient reads, with where it comes from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Figure {
    /// As it is printed.
    pub(super) number: &'static str,
    /// Where it comes from.
    #[cfg_attr(not(test), expect(dead_code, reason = "the tests see to it that each figure has a source"))]
    pub(super) source: Cite,
}

/// One toe in plain and in professional words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct PlainToe {
    /// `L1`, for the picture.
    pub(super) code: &'static str,
    /// `left big toe`.
    pub(super) toe: String,
    /// `left hallux`.
    pub(super) clinical: String,
    /// The whole nail.
    pub(super) is_whole: bool,
    /// The edges of a partial removal: `outer` and `lateral`.
    pub(super) edges: Vec<PlainEdge>,
    /// More than one edge.
    pub(super) has_both_edges: bool,
    /// Phenol is used.
    pub(super) has_phenol: bool,
}

/// An edge in plain and in professional words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct PlainEdge {
    /// `outer`.
    pub(super) plain: &'static str,
    /// `lateral`.
    pub(super) clinical: &'static str,
}

impl PlainToe {
    pub(super) fn new(toe: Toe, nail: Nail, edges: &[Edge], has_phenol: bool) -> PlainToe {
        let is_whole = nail == Nail::Total;
        let mut edges = if is_whole { Vec::new() } else { edges.to_vec() };
        edges.sort_unstable();
        edges.dedup();
        PlainToe {
            code: toe.code(),
            toe: toe.plain(),
            clinical: toe.clinical(),
            is_whole,
            has_both_edges: edges.len() > 1,
            edges: edges
                .iter()
                .map(|edge| PlainEdge { plain: edge.plain(), clinical: edge.word() })
                .collect(),
            has_phenol,
        }
    }
}

/// What the history of this patient changes, each a paragraph of its own in a template. Each is a derived
/// fact; nothing is decided here.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one paragraph that stands or does not")]
pub(super) struct Changes {
    /// At least one of the others.
    pub(super) any: bool,
    /// Diabetes is recorded.
    pub(super) diabetes: bool,
    /// An anticoagulant is taken.
    pub(super) blood_thinner: bool,
    /// An antiplatelet is taken, and no anticoagulant.
    pub(super) antiplatelet: bool,
    /// The names of those medicines, without their doses.
    pub(super) thinners: String,
    /// A disorder in which blood clots badly.
    pub(super) bleeds_easily: bool,
    /// A medicine or a condition weakens the immune system.
    pub(super) weak_immunity: bool,
    /// Less blood flows to a foot concerned than it should.
    pub(super) poor_circulation: bool,
    /// The arteries of the toes shut in the cold, and nothing worse is known.
    pub(super) vasospasm: bool,
    /// Feeling in a foot concerned is reduced.
    pub(super) reduced_feeling: bool,
    /// Smokes now.
    pub(super) smoker: bool,
    /// Pregnant now.
    pub(super) pregnant: bool,
    /// Breastfeeding now.
    pub(super) breastfeeding: bool,
    /// Allergic to phenol.
    pub(super) phenol_allergy: bool,
    /// Over 60 years.
    pub(super) older: bool,
    /// Epilepsy: not every fit is an emergency. It changes one line and is no passage of its own.
    pub(super) epilepsy: bool,
}

impl Changes {
    /// For the feet to which these toes belong.
    pub(super) fn of(facts: &Facts, toes: &[Toe]) -> Changes {
        let history = facts.case.history.as_ref();
        let is = |answer: Option<bool>| answer == Some(true);
        let sides: Vec<Side> =
            Side::BOTH.into_iter().filter(|side| toes.iter().any(|toe| toe.side() == *side)).collect();
        let derived = &facts.derived;
        let risk = &derived.bleeding_risk;
        let of_a_foot = |fact: &BySide<Fact>| sides.iter().any(|side| fact.get(*side).holds());
        let blood_thinner = !risk.anticoagulants.is_empty();
        let poor_circulation = of_a_foot(&derived.poor_circulation);
        let thinners = risk.anticoagulants.iter().chain(&risk.antiplatelets).map(|reason| &reason.name);
        let mut changes = Changes {
            any: false,
            diabetes: derived.diabetes.holds(),
            blood_thinner,
            antiplatelet: !risk.antiplatelets.is_empty() && !blood_thinner,
            thinners: List::and(thinners).to_string(),
            bleeds_easily: !risk.disorders.is_empty(),
            weak_immunity: derived.weak_immunity.holds(),
            poor_circulation,
            vasospasm: derived.vasospasm.holds() && !poor_circulation,
            reduced_feeling: of_a_foot(&derived.reduced_feeling),
            smoker: is(history.and_then(|history| history.smoker)),
            pregnant: derived.pregnancy.holds(),
            breastfeeding: is(history.and_then(|history| history.breastfeeding)),
            phenol_allergy: facts.allergic_to("phenol"),
            older: derived.infection_is_likelier_by_age(),
            epilepsy: derived.epilepsy.holds(),
        };
        changes.any = changes.count() > 0;
        changes
    }

    /// How many of them hold.
    pub(super) fn count(&self) -> usize {
        let each = [
            self.diabetes,
            self.blood_thinner,
            self.antiplatelet,
            self.bleeds_easily,
            self.weak_immunity,
            self.poor_circulation,
            self.vasospasm,
            self.reduced_feeling,
            self.smoker,
            self.pregnant,
            self.breastfeeding,
            self.phenol_allergy,
            self.older,
        ];
        each.into_iter().filter(|holds| *holds).count()
    }
}

/// Completed years on a day; `None` before birth.
pub(super) fn years_on(facts: &Facts, day: CivilDate) -> Option<u32> {
    crate::derive::years_on(&facts.case, day)
}

/// True if this need is recorded.
pub(super) fn needs(facts: &Facts, need: Need) -> bool {
    facts.case.patient.needs.contains(&need)
}

/// An interpreter is needed or was present.
pub(super) fn needs_interpreter(facts: &Facts) -> bool {
    needs(facts, Need::Interpreter)
        || facts.case.consent.as_ref().is_some_and(|consent| consent.interpreter.is_some())
}

/// The name a document speaks to: the preferred one, or the given one.
pub(super) fn called(facts: &Facts) -> String {
    let patient = &facts.case.patient;
    patient.preferred.clone().unwrap_or_else(|| patient.given.clone())
}

/// `Imogen Hollis`.
pub(super) fn full_name(facts: &Facts) -> String {
    format!("{} {}", facts.case.patient.given, facts.case.patient.family)
}

/// Minutes of pressing on a toe that bleeds.
pub(super) const PRESS_MINUTES: Figure = Figure { number: "15", source: Cite::common_practice() };

/// Minutes of pressing with an anticoagulant.
pub(super) const PRESS_MINUTES_THINNER: Figure = Figure {
    number: "20",
    source: Cite::project_default("longer than without a blood thinner; no publication gives a time"),
};

/// Hours without another local anaesthetic.
pub(super) const NO_OTHER_ANAESTHETIC_HOURS: Figure = Figure {
    number: "24",
    source: Cite::states(&sources::procedure::LEAFLET_WORCESTERSHIRE, "advice on other treatment"),
};

/// Weeks in which fluid and redness are normal.
pub(super) const WEEPING_WEEKS: Figure = Figure {
    number: "2",
    source: Cite::adapts(
        &sources::procedure::LEAFLET_BRADFORD,
        "what is normal",
        "read together with the other NHS leaflets on nail surgery",
    ),
};

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clinical::Relation;
    use crate::rules::example::facts_of;

    fn changes(fragment: &str) -> Changes {
        Changes::of(&facts_of(fragment), &[Toe::L1])
    }

    #[test]
    fn a_toe_in_plain_and_in_professional_words() {
        let toe = PlainToe::new(Toe::L1, Nail::Partial, &[Edge::Lateral, Edge::Medial], true);
        assert_eq!((toe.toe.as_str(), toe.clinical.as_str()), ("left big toe", "left hallux"));
        assert_eq!(toe.edges[0], PlainEdge { plain: "inner", clinical: "medial" });
        assert!(toe.has_both_edges && !toe.is_whole);
        let whole = PlainToe::new(Toe::R2, Nail::Total, &[Edge::Lateral], false);
        assert!(whole.is_whole && whole.edges.is_empty() && !whole.has_both_edges);
    }

    #[test]
    fn the_base_case_changes_nothing() {
        assert!(!changes("{}").any);
    }

    #[test]
    fn each_part_of_the_history_is_one_change() {
        assert!(changes("history: {diabetes: {type: 2}}").diabetes);
        assert!(!changes("history: {diabetes: none}").diabetes);
        assert!(changes("history: {smoker: true}").smoker);
        assert!(changes("history: {pregnant: true}").pregnant);
        assert!(changes("history: {conditions: [pregnancy]}").pregnant);
        assert!(changes("history: {breastfeeding: true}").breastfeeding);
        assert!(changes("history: {allergies: [{to: phenol}]}").phenol_allergy);
        assert!(changes("history: {medicines: [methotrexate]}").weak_immunity);
        assert!(changes("history: {conditions: [hiv]}").weak_immunity);
        assert!(changes("history: {conditions: [PAD]}").poor_circulation);
        assert!(changes("history: {conditions: [raynauds]}").vasospasm);
        let both = changes("history: {conditions: [raynauds, PAD]}");
        assert!(both.poor_circulation && !both.vasospasm, "the worse one is told");
        assert!(changes("history: {conditions: [haemophilia]}").bleeds_easily);
    }

    #[test]
    fn a_blood_thinner_comes_before_an_antiplatelet() {
        let one = changes("history: {medicines: [aspirin]}");
        assert!(one.antiplatelet && !one.blood_thinner);
        let both = changes("history: {medicines: [aspirin, apixaban]}");
        assert!(both.blood_thinner && !both.antiplatelet);
        assert_eq!(both.thinners, "apixaban and aspirin");
        assert_eq!(changes("history: {medicines: [Clopidogrel 75mg od]}").thinners, "clopidogrel");
    }

    #[test]
    fn only_the_foot_concerned_counts() {
        assert!(changes("vascular: {left: {toe: 45}}").poor_circulation);
        assert!(!changes("vascular: {right: {toe: 45}}").poor_circulation);
        assert!(!changes("vascular: {left: {pulses: weak, toe: ~}}").poor_circulation, "nobody knows");
        assert!(changes("sensation: {left: 8/10}").reduced_feeling);
        assert!(!changes("sensation: {right: 8/10}").reduced_feeling);
    }

    #[test]
    fn every_figure_says_where_it_comes_from() {
        for figure in [PRESS_MINUTES, PRESS_MINUTES_THINNER, NO_OTHER_ANAESTHETIC_HOURS, WEEPING_WEEKS] {
            assert!(!figure.number.is_empty());
            assert_eq!(
                figure.source.source.is_none(),
                matches!(figure.source.relation, Relation::CommonPractice | Relation::ProjectDefault(_)),
            );
        }
    }
}
