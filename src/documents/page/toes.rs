//! Toes and edges in the words of their reader, as a picture, and with what was found and done. The names of
//! procedures and diagnoses stand in `templates/clinician`.

use serde::Serialize;

use super::without_stop;
use crate::anatomy::{Edge, Nail, Side, Toe};
use crate::case::AffectedToe;
use crate::facts::Facts;
use crate::words::capitalised;

/// `left hallux (L1), lateral edge`, `right second toe (R2), whole nail`.
pub(crate) fn toe_in_words(toe: Toe, nail: Nail, edges: &[Edge]) -> String {
    format!("{} ({}), {}", toe.clinical(), toe.code(), part_in_words(nail, edges))
}

/// How a toe and its edges are named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::documents) enum Naming {
    /// `left hallux (L1), lateral edge`: for colleagues of the trade, who write the codes.
    Codes,
    /// `left big toe (hallux), lateral (outer) edge`: for a doctor and the patient, to whom `L1` may be a
    /// bone of the back.
    Plain,
}

impl Naming {
    /// The toe.
    pub(in crate::documents) fn toe(self, toe: Toe) -> String {
        match self {
            Naming::Codes => format!("{} ({})", toe.clinical(), toe.code()),
            Naming::Plain if toe.number() == 1 => format!("{} (hallux)", toe.plain()),
            Naming::Plain => toe.plain(),
        }
    }

    /// The edges.
    pub(in crate::documents) fn edges(self, edges: &[Edge]) -> String {
        let plain = |edge: Edge| format!("{} ({})", edge.word(), edge.plain());
        match (self, edges) {
            (Naming::Codes, _) | (_, []) => crate::derive::edges_in_words(edges),
            (Naming::Plain, [one]) => format!("{} edge", plain(*one)),
            (Naming::Plain, _) => format!("{} and {} edges", plain(Edge::Medial), plain(Edge::Lateral)),
        }
    }

    /// What of the nail was taken away: `lateral (outer) edge`, `whole nail`.
    pub(in crate::documents) fn part(self, nail: Nail, edges: &[Edge]) -> String {
        match nail {
            Nail::Total => part_in_words(nail, edges),
            Nail::Partial => self.edges(edges),
        }
    }
}

/// `lateral edge`, `medial and lateral edges`, `whole nail`.
pub(in crate::documents) fn part_in_words(nail: Nail, edges: &[Edge]) -> String {
    match nail {
        Nail::Total => "whole nail".into(),
        Nail::Partial => crate::derive::edges_in_words(edges),
    }
}

/// Both feet as the patient sees them looking down.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Feet {
    pub(in crate::documents) left: Vec<DrawnToe>,
    pub(in crate::documents) right: Vec<DrawnToe>,
    /// The marked ones in words: `left hallux (L1), lateral edge`.
    pub(in crate::documents) marked: Vec<String>,
}

/// One toe of the picture.
#[derive(Debug, Clone, Serialize)]
pub(in crate::documents) struct DrawnToe {
    pub(in crate::documents) code: &'static str,
    /// Which part of the drawn nail is hatched: `none`, `left`, `right`, `both`, `total`.
    pub(in crate::documents) strip: &'static str,
}

impl Feet {
    /// The picture of what is or was done to these toes.
    pub(in crate::documents) fn of(toes: &[(Toe, Nail, &[Edge])]) -> Feet {
        let foot = |side: Side| {
            let toes_of_side = Toe::ALL.into_iter().filter(|toe| toe.side() == side);
            let drawn = toes_of_side.map(|toe| {
                let done = toes.iter().find(|(other, _, _)| *other == toe);
                DrawnToe {
                    code: toe.code(),
                    strip: done.map_or("none", |(_, nail, edges)| strip(toe, *nail, edges)),
                }
            });
            drawn.collect::<Vec<_>>()
        };
        let named = toes.iter().map(|(toe, nail, edges)| toe_in_words(*toe, *nail, edges));
        Feet { left: foot(Side::Left), right: foot(Side::Right), marked: named.collect() }
    }
}

/// The side of the drawn nail that an edge lies on. Looking down at one's own feet the big toes meet
/// in the middle: the medial edge of a left toe is on the right, that of a right toe on the left.
fn strip(toe: Toe, nail: Nail, edges: &[Edge]) -> &'static str {
    let has = |edge| edges.contains(&edge);
    match (nail, has(Edge::Medial), has(Edge::Lateral), toe.side()) {
        (Nail::Total, ..) => "total",
        (_, true, true, _) => "both",
        (_, true, false, Side::Left) | (_, false, true, Side::Right) => "right",
        (_, true, false, Side::Right) | (_, false, true, Side::Left) => "left",
        (_, false, false, _) => "none",
    }
}

/// Toes on which the same was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(in crate::documents) struct Procedure {
    is_whole: bool,
    has_phenol: bool,
    /// Plain words stand beside those of the trade.
    in_plain_words: bool,
    /// `left hallux (L1), lateral edge`.
    toes: Vec<String>,
}

/// Toes with the same diagnosis.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one name")]
pub(in crate::documents) struct Diagnosis {
    /// As typed; empty where it follows from what was seen, which one of the three then says, or none of them.
    own: String,
    is_ingrowing: bool,
    is_thickened: bool,
    is_involuted: bool,
    /// Plain words stand beside those of the trade.
    in_plain_words: bool,
    toes: Vec<Affected>,
}

/// One toe as it was assessed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one word")]
struct Affected {
    /// `left hallux (L1)`, with its edges where there are any.
    toe: String,
    is_stage_1: bool,
    is_stage_2: bool,
    is_stage_3: bool,
    is_infected: bool,
    is_not_infected: bool,
    has_cellulitis: bool,
    /// Not where the diagnosis says so; so for the next.
    is_involuted: bool,
    is_thickened: bool,
    had_surgery: bool,
    note: String,
}

fn grouped<N: PartialEq, T>(items: impl Iterator<Item = (N, T)>) -> Vec<(N, Vec<T>)> {
    let mut groups: Vec<(N, Vec<T>)> = Vec::new();
    for (name, toe) in items {
        match groups.iter_mut().find(|(other, _)| *other == name) {
            Some((_, toes)) => toes.push(toe),
            None => groups.push((name, vec![toe])),
        }
    }
    groups
}

/// What was done, toes of one procedure together. The words stand in `templates/clinician/procedures.typ`.
pub(in crate::documents) fn procedures(facts: &Facts, naming: Naming) -> Vec<Procedure> {
    let each = facts.operated().into_iter().map(|(toe, done)| {
        // That it was the whole nail, the name says.
        let toe = match done.nail {
            Nail::Total => naming.toe(toe),
            Nail::Partial => format!("{}, {}", naming.toe(toe), naming.edges(&done.edges)),
        };
        ((done.nail == Nail::Total, done.phenol.is_some()), toe)
    });
    let groups = grouped(each).into_iter().map(|((is_whole, has_phenol), toes)| Procedure {
        is_whole,
        has_phenol,
        in_plain_words: naming == Naming::Plain,
        toes,
    });
    groups.collect()
}

/// What names the disorder of a toe: the first that holds. Nothing of it where a diagnosis is typed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct NailIs {
    pub(crate) ingrowing: bool,
    pub(crate) thickened: bool,
    pub(crate) involuted: bool,
}

/// What names the disorder of a toe.
pub(crate) fn nail_is(seen: &AffectedToe) -> NailIs {
    let ingrowing = !seen.edges.is_empty();
    let thickened = !ingrowing && seen.thickened == Some(true);
    let involuted = !ingrowing && !thickened && seen.involuted == Some(true);
    NailIs { ingrowing, thickened, involuted }
}

/// What the patient came with. The words stand in `templates/clinician/diagnoses.typ`.
pub(in crate::documents) fn diagnoses(facts: &Facts, naming: Naming) -> Vec<Diagnosis> {
    let Some(toes) = facts.case.affected() else {
        return Vec::new();
    };
    let is = |answer: Option<bool>| answer == Some(true);
    let each = toes.iter().map(|(toe, seen)| {
        let own = seen.diagnosis.as_deref().map(|own| capitalised(without_stop(own))).unwrap_or_default();
        let NailIs { ingrowing: is_ingrowing, thickened: is_thickened, involuted: is_involuted } =
            if own.is_empty() { nail_is(seen) } else { NailIs::default() };
        let name = (own, is_ingrowing, is_thickened, is_involuted);
        let toe = match seen.edges.as_slice() {
            [] => naming.toe(toe),
            edges => format!("{}, {}", naming.toe(toe), naming.edges(edges)),
        };
        let affected = Affected {
            toe,
            is_stage_1: seen.stage == Some(1),
            is_stage_2: seen.stage == Some(2),
            is_stage_3: seen.stage.is_some_and(|stage| stage > 2),
            is_infected: is(seen.infected),
            is_not_infected: seen.infected == Some(false),
            has_cellulitis: is(seen.cellulitis),
            is_involuted: is(seen.involuted) && !is_involuted,
            is_thickened: is(seen.thickened) && !is_thickened,
            had_surgery: is(seen.previous_surgery),
            note: seen.note.clone().unwrap_or_default(),
        };
        (name, affected)
    });
    let groups = grouped(each).into_iter().map(|((own, is_ingrowing, is_thickened, is_involuted), toes)| {
        let in_plain_words = naming == Naming::Plain;
        Diagnosis { own, is_ingrowing, is_thickened, is_involuted, in_plain_words, toes }
    });
    groups.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    const M: &[Edge] = &[Edge::Medial];
    const L: &[Edge] = &[Edge::Lateral];
    const ML: &[Edge] = &[Edge::Medial, Edge::Lateral];

    #[test]
    fn a_diagnosis_in_words_comes_before_what_edges_say() {
        let one = |fragment: &str| diagnoses(&facts_of(fragment), Naming::Codes).remove(0);
        let seen = one("");
        assert!(seen.own.is_empty() && seen.is_ingrowing && !seen.is_thickened && !seen.is_involuted);
        let typed = one("problem: {toes: {L1: {diagnosis: lifted nail.}}}");
        assert!(typed.own == "Lifted nail" && !typed.is_ingrowing);
        let thick = one("problem: {toes: {L1: {edges: ~, involuted: true, thickened: true}}}");
        assert!(thick.is_thickened && !thick.is_involuted, "{thick:?}");
        assert!(thick.toes[0].is_involuted && !thick.toes[0].is_thickened, "what the name does not say");
        for seen in ["thickened", "involuted"] {
            let named = one(&format!(
                "problem: {{toes: {{L1: {{edges: ~, diagnosis: lifted nail, {seen}: true}}}}}}"
            ));
            let toe = &named.toes[0];
            assert!(toe.is_thickened || toe.is_involuted, "a name that was typed says nothing of {seen}");
        }
    }

    #[test]
    fn the_hatched_side_is_the_one_the_owner_sees() {
        for (toe, nail, edges, side) in [
            (Toe::R1, Nail::Partial, L, "right"),
            (Toe::R1, Nail::Partial, M, "left"),
            (Toe::L1, Nail::Partial, M, "right"),
            (Toe::L1, Nail::Partial, L, "left"),
            (Toe::L3, Nail::Partial, ML, "both"),
            (Toe::R2, Nail::Total, M, "total"),
            (Toe::R2, Nail::Total, &[], "total"),
        ] {
            assert_eq!(strip(toe, nail, edges), side, "{toe} {edges:?}");
        }
    }

    #[test]
    fn the_picture_holds_ten_toes_big_toe_first_and_names_the_marked_ones() {
        let feet = Feet::of(&[(Toe::L1, Nail::Partial, L), (Toe::R2, Nail::Total, &[])]);
        let codes = |foot: &[DrawnToe]| foot.iter().map(|toe| toe.code).collect::<Vec<_>>();
        assert_eq!(codes(&feet.left), ["L1", "L2", "L3", "L4", "L5"]);
        assert_eq!(codes(&feet.right), ["R1", "R2", "R3", "R4", "R5"]);
        assert_eq!((feet.left[0].strip, feet.left[1].strip, feet.right[1].strip), ("left", "none", "total"));
        assert_eq!(feet.marked, ["left hallux (L1), lateral edge", "right second toe (R2), whole nail"]);
    }

    #[test]
    fn toes_of_one_name_stand_together() {
        let groups = grouped([("A", 1), ("B", 2), ("A", 3)].into_iter());
        assert_eq!(groups, [("A", vec![1, 3]), ("B", vec![2])]);
    }

    #[test]
    fn toes_are_named_in_words_and_by_code() {
        assert_eq!(toe_in_words(Toe::L1, Nail::Partial, L), "left hallux (L1), lateral edge");
        assert_eq!(toe_in_words(Toe::R2, Nail::Total, &[]), "right second toe (R2), whole nail");
        let done = |naming| procedures(&facts_of(""), naming).remove(0);
        let coded = done(Naming::Codes);
        assert!(!coded.is_whole && coded.has_phenol && !coded.in_plain_words);
        assert_eq!(coded.toes, ["left hallux (L1), lateral edge"]);
        assert_eq!(done(Naming::Plain).toes, ["left big toe (hallux), lateral (outer) edge"]);
        let seen = |naming| diagnoses(&facts_of(""), naming).remove(0).toes.remove(0);
        let coded = seen(Naming::Codes);
        assert_eq!(coded.toe, "left hallux (L1), lateral edge");
        assert!(coded.is_stage_2 && coded.is_not_infected && !coded.is_infected);
        assert_eq!(seen(Naming::Plain).toe, "left big toe (hallux), lateral (outer) edge");
    }
}
