//! What the consent form and the leaflet share: the patient's own words for toes, visits and what
//! this patient's history changes. Strings and booleans only; no sentence stands here, and nothing
//! is judged to be allowed.

use serde::Serialize;

use crate::anatomy::{Edge, Nail, Side, Toe};
use crate::case::Need;
use crate::clinical::tables::Class;
use crate::clinical::thresholds::Threshold;
use crate::date::CivilDate;
use crate::derive::{BySide, Fact};
use crate::documents::page::{DrawnToe, Feet};
use crate::facts::Facts;
use crate::words::List;

/// One toe in plain and in professional words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(in crate::documents) struct PlainToe {
    /// `L1`, for the picture.
    pub(in crate::documents) code: &'static str,
    /// `left big toe`.
    pub(in crate::documents) toe: String,
    /// `left hallux`.
    pub(in crate::documents) clinical: String,
    /// The whole nail.
    pub(in crate::documents) is_whole: bool,
    /// The edges of a partial removal: `outer` and `lateral`.
    pub(in crate::documents) edges: Vec<PlainEdge>,
    /// More than one edge.
    pub(in crate::documents) has_both_edges: bool,
    /// Phenol is used.
    pub(in crate::documents) has_phenol: bool,
}

/// An edge in plain and in professional words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(in crate::documents) struct PlainEdge {
    /// `outer`.
    pub(in crate::documents) plain: &'static str,
    /// `lateral`.
    pub(in crate::documents) clinical: &'static str,
    /// The professional word stands beside the plain one.
    pub(in crate::documents) with_trade_word: bool,
}

impl PlainToe {
    pub(in crate::documents) fn new(toe: Toe, nail: Nail, edges: &[Edge], has_phenol: bool) -> PlainToe {
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
                .map(|edge| PlainEdge { plain: edge.plain(), clinical: edge.word(), with_trade_word: false })
                .collect(),
            has_phenol,
        }
    }

    /// With the professional word for each edge beside the plain one, as on a form that both sides sign.
    pub(in crate::documents) fn with_trade_words(mut self) -> PlainToe {
        for edge in &mut self.edges {
            edge.with_trade_word = true;
        }
        self
    }
}

/// One toe that was operated on, drawn large.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub(in crate::documents) struct CloseUp {
    /// `left big toe`.
    pub(in crate::documents) name: String,
    /// As in [`DrawnToe`].
    pub(in crate::documents) strip: &'static str,
    pub(in crate::documents) is_left: bool,
}

impl CloseUp {
    /// Each toe, as it is drawn on both feet.
    pub(in crate::documents) fn of(operated: &[PlainToe], feet: &Feet) -> Vec<CloseUp> {
        let each = operated.iter().map(|toe| {
            let on =
                |foot: &[DrawnToe]| foot.iter().find(|drawn| drawn.code == toe.code).map(|drawn| drawn.strip);
            let left = on(&feet.left);
            CloseUp {
                name: toe.toe.clone(),
                strip: left.or_else(|| on(&feet.right)).unwrap_or("none"),
                is_left: left.is_some(),
            }
        });
        each.collect()
    }
}

/// What the history of this patient changes, each a paragraph of its own in a template. Each is a derived
/// fact; nothing is decided here.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one paragraph that stands or does not")]
pub(in crate::documents) struct Changes {
    /// At least one of the others.
    pub(in crate::documents) any: bool,
    /// Diabetes is recorded.
    pub(in crate::documents) diabetes: bool,
    /// An anticoagulant is taken.
    pub(in crate::documents) blood_thinner: bool,
    /// An antiplatelet is taken, and no anticoagulant.
    pub(in crate::documents) antiplatelet: bool,
    /// The names of those medicines, without their doses.
    pub(in crate::documents) thinners: String,
    /// A disorder in which blood clots badly.
    pub(in crate::documents) bleeds_easily: bool,
    /// A medicine or a condition weakens the immune system.
    pub(in crate::documents) weak_immunity: bool,
    /// Less blood flows to a foot concerned than it should.
    pub(in crate::documents) poor_circulation: bool,
    /// The arteries of the toes shut in the cold, and nothing worse is known.
    pub(in crate::documents) vasospasm: bool,
    /// Feeling in a foot concerned is reduced.
    pub(in crate::documents) reduced_feeling: bool,
    /// Smokes now.
    pub(in crate::documents) smoker: bool,
    /// Pregnant now.
    pub(in crate::documents) pregnant: bool,
    /// Breastfeeding now.
    pub(in crate::documents) breastfeeding: bool,
    /// Allergic to phenol.
    pub(in crate::documents) phenol_allergy: bool,
    /// Of an age at which infection is reported more often.
    pub(in crate::documents) older: bool,
    /// The years above which it is.
    pub(in crate::documents) older_than: String,
    /// Epilepsy: not every fit is an emergency. It changes one line and is no passage of its own.
    pub(in crate::documents) epilepsy: bool,
}

impl Changes {
    /// For the feet to which these toes belong.
    pub(in crate::documents) fn of(facts: &Facts, toes: &[Toe]) -> Changes {
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
            smoker: derived.smoking.holds(),
            pregnant: derived.pregnancy.holds(),
            breastfeeding: derived.breastfeeding.holds(),
            phenol_allergy: facts.allergic_to(Class::Phenol),
            older: derived.infection_is_likelier_by_age(),
            older_than: Threshold::InfectionLikelierOver.number().to_string(),
            epilepsy: derived.epilepsy.holds(),
        };
        changes.any = changes.count() > 0;
        changes
    }

    /// How many of them hold.
    pub(in crate::documents) fn count(&self) -> usize {
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
pub(in crate::documents) fn years_on(facts: &Facts, day: CivilDate) -> Option<u32> {
    crate::derive::years_on(&facts.case, day)
}

/// True if this need is recorded.
pub(in crate::documents) fn needs(facts: &Facts, need: Need) -> bool {
    facts.case.patient.needs.contains(&need)
}

/// An interpreter is needed or was present.
pub(in crate::documents) fn needs_interpreter(facts: &Facts) -> bool {
    needs(facts, Need::Interpreter)
        || facts.case.consent.as_ref().is_some_and(|consent| consent.interpreter.is_some())
}

/// The name a document speaks to: the preferred one, or the given one.
pub(in crate::documents) fn called(facts: &Facts) -> String {
    let patient = &facts.case.patient;
    patient.preferred.clone().unwrap_or_else(|| patient.given.clone())
}

/// `Imogen Hollis`.
pub(in crate::documents) fn full_name(facts: &Facts) -> String {
    format!("{} {}", facts.case.patient.given, facts.case.patient.family)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn changes(fragment: &str) -> Changes {
        Changes::of(&facts_of(fragment), &[Toe::L1])
    }

    #[test]
    fn a_toe_in_plain_and_in_professional_words() {
        let toe = PlainToe::new(Toe::L1, Nail::Partial, &[Edge::Lateral, Edge::Medial], true);
        assert_eq!((toe.toe.as_str(), toe.clinical.as_str()), ("left big toe", "left hallux"));
        assert_eq!(toe.edges[0], PlainEdge { plain: "inner", clinical: "medial", with_trade_word: false });
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
        assert!(changes("history: {conditions: [lactating]}").breastfeeding);
        assert!(changes("history: {smoker: ~, conditions: [smoker]}").smoker);
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
}
