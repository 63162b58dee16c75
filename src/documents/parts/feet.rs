//! Circulation, feeling and diabetes in words. Bands come with the derived values; none is set here.

use serde::Serialize;

use super::unknown;
use crate::anatomy::Side;
use crate::case::{DiabetesEntry, DiabetesKind, DopplerSounds, FootCirculation, Measured};
use crate::date::CivilDate;
use crate::derive::{Answer, Banded, Unknown, Value};
use crate::diagnostic::Path;
use crate::documents::page::{NOT_KNOWN, NOT_RECORDED, measured, short};
use crate::facts::Facts;
use crate::units::TextValue;
use crate::words::capitalised;

/// Both feet.
#[derive(Debug, Serialize)]
pub(in crate::documents) struct CirculationView {
    /// Anything at all was recorded.
    is_recorded: bool,
    /// A pressure was recorded on either side; without one the columns for them stay away.
    has_pressures: bool,
    /// Something was said of Doppler sounds.
    has_doppler: bool,
    rows: Vec<Row>,
    /// Why an index is not known, where no column of the table shows it: `arm pressures not recorded`.
    unknown: String,
    /// Why a pressure was not recorded, where no column shows it.
    gaps: String,
}

#[derive(Debug, Serialize)]
struct Row {
    side: String,
    pulses: String,
    /// Doppler sounds; empty if nothing was said of them.
    doppler: String,
    abpi: String,
    tbpi: String,
    toe: String,
    sensation: String,
}

impl CirculationView {
    pub(in crate::documents) fn of(facts: &Facts) -> CirculationView {
        let rows = Side::BOTH.into_iter().map(|side| {
            let Row { side, pulses, doppler, abpi, tbpi, toe, sensation } = row(facts, side);
            let [pulses, abpi, tbpi, toe, sensation] =
                [pulses, abpi, tbpi, toe, sensation].map(|cell| capitalised(&cell));
            Row { side, pulses, doppler, abpi, tbpi, toe, sensation }
        });
        let rows: Vec<Row> = rows.collect();
        let vascular = facts.case.vascular.as_ref();
        let pressures = vascular.map_or_else(Vec::new, |vascular| {
            let of = |foot: &FootCirculation| {
                let pressures =
                    [&foot.dorsalis_pedis, &foot.posterior_tibial, &foot.toe].map(Measured::is_missing);
                [pressures[0], pressures[1], pressures[2], foot.abpi.is_missing()]
            };
            let feet = [&vascular.right, &vascular.left].into_iter().flatten().flat_map(of);
            let arms = vascular.brachial.iter();
            let arms = arms.flat_map(|arms| [&arms.right, &arms.left].map(Measured::is_missing));
            // A reason why there is none has its place in the table too.
            feet.chain(arms).filter(|is_missing| !is_missing).collect()
        });
        CirculationView {
            is_recorded: vascular.is_some() || facts.case.sensation.is_some(),
            has_pressures: !pressures.is_empty(),
            has_doppler: rows.iter().any(|row| !row.doppler.is_empty()),
            rows,
            unknown: unknown_indices(facts),
            gaps: gaps_without_column(facts),
        }
    }
}

/// All that the indices of both sides lack, each once; but not toe pressures, which have a column.
fn unknown_indices(facts: &Facts) -> String {
    let mut all = Unknown::default();
    for side in Side::BOTH {
        let indices = facts.derived.circulation.get(side);
        for index in [&indices.abpi, &indices.tbpi] {
            let Value::Unknown(why) = index else { continue };
            all.missing.extend(why.missing.iter().filter(|path| path.last_key() != Some("toe")).cloned());
            all.because = all.because.or_else(|| why.because.clone());
        }
    }
    unknown::reason(&all)
}

/// Why a pressure that has no column was not recorded, also where its index is known from the other
/// artery or arm.
fn gaps_without_column(facts: &Facts) -> String {
    let has_none = |path: &Path| {
        let keys = ["dorsalis_pedis", "posterior_tibial", "right", "left"];
        path.to_string().starts_with("vascular.") && path.last_key().is_some_and(|key| keys.contains(&key))
    };
    let gaps = facts.case.gaps().into_iter().filter(|gap| has_none(&gap.path));
    let not_recorded = gaps.map(|gap| (gap.path, gap.reason.to_owned())).collect();
    capitalised(&unknown::reason(&Unknown { not_recorded, ..Unknown::default() }))
}

/// What was found at each foot, a line a foot, only what was recorded: for the letter. One line where
/// the feet do not differ.
pub(in crate::documents) fn examination(facts: &Facts) -> Vec<FootFound> {
    let [right, left] = Side::BOTH.map(|side| FootFound {
        side: capitalised(side.word()),
        is_both: false,
        found: found(&row(facts, side)),
        poor_circulation: facts.derived.poor_circulation.get(side).holds(),
        reduced_feeling: facts.derived.reduced_feeling.get(side).holds(),
    });
    let as_right = FootFound { side: right.side.clone(), ..left.clone() };
    if right == as_right {
        return vec![FootFound { is_both: true, ..right }];
    }
    vec![right, left]
}

/// `Right` and `pulses palpable, ABPI 1.04 (normal)`, and what follows from it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(in crate::documents) struct FootFound {
    side: String,
    /// The feet do not differ: what stands here is of both.
    is_both: bool,
    found: String,
    poor_circulation: bool,
    reduced_feeling: bool,
}

fn found(row: &Row) -> String {
    let parts = [
        ("pulses", &row.pulses),
        (DopplerSounds::FORMAT, &row.doppler),
        ("ABPI", &row.abpi),
        ("toe-brachial index", &row.tbpi),
        ("toe pressure", &row.toe),
        ("monofilament", &row.sensation),
    ];
    let is_known = |value: &String| !value.is_empty() && value != NOT_RECORDED && value != NOT_KNOWN;
    let known = parts.iter().filter(|(_, value)| is_known(value));
    let known: Vec<String> = known.map(|(name, value)| format!("{name} {value}")).collect();
    if known.is_empty() { NOT_RECORDED.into() } else { known.join(", ") }
}

fn row(facts: &Facts, side: Side) -> Row {
    let vascular = facts.case.vascular.as_ref();
    let foot = vascular.and_then(|vascular| match side {
        Side::Right => vascular.right.as_ref(),
        Side::Left => vascular.left.as_ref(),
    });
    let sensation = facts.case.sensation.as_ref().map(|sensation| match side {
        Side::Right => &sensation.right,
        Side::Left => &sensation.left,
    });
    let indices = facts.derived.circulation.get(side);
    let index =
        |value: &Value<Banded>| short(value, |banded| format!("{} ({})", banded.index, banded.band.word()));
    Row {
        side: capitalised(side.word()),
        pulses: foot.map_or_else(|| NOT_RECORDED.into(), |foot| measured(&foot.pulses, ToString::to_string)),
        doppler: foot
            .filter(|foot| !foot.doppler.is_missing())
            .map_or_else(String::new, |foot| measured(&foot.doppler, ToString::to_string)),
        abpi: match indices.abpi.get().is_some_and(|banded| banded.is_told) {
            true => format!("{}, measured elsewhere", index(&indices.abpi)),
            false => index(&indices.abpi),
        },
        tbpi: index(&indices.tbpi),
        toe: foot.map_or_else(|| NOT_RECORDED.into(), |foot| measured(&foot.toe, ToString::to_string)),
        sensation: sensation.map_or_else(
            || NOT_RECORDED.into(),
            |sites| measured(sites, |sites| format!("{} of {} sites", sites.felt, sites.tested)),
        ),
    }
}

/// Diabetes, with what was measured. Where it is known that there is none, and where nothing is known, all is
/// empty but `is_recorded`.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
pub(in crate::documents) struct DiabetesView {
    /// Whether there is diabetes is known.
    is_recorded: bool,
    /// There is.
    holds: bool,
    /// `type 2`; `gestational`; the condition that says so: `type 2 diabetes`.
    kind: String,
    /// Only that there is diabetes was written.
    nothing_more: bool,
    /// `58`; empty if it was typed in a unit or a range that is not known.
    mmol_per_mol: String,
    /// `7.5`, where the other unit is known.
    percent: String,
    /// As typed, where it could not be worked out; `not recorded`, with its reason.
    typed: String,
    /// Day of the test.
    tested: String,
    /// There is a value, and no day of it.
    has_no_day: bool,
}

impl DiabetesView {
    pub(in crate::documents) fn of(facts: &Facts) -> DiabetesView {
        let fact = &facts.derived.diabetes;
        let is_recorded = fact.answer != Answer::NotKnown;
        let found = DiabetesView { is_recorded, holds: fact.holds(), ..DiabetesView::default() };
        let entry = facts.case.history.as_ref().and_then(|history| history.diabetes.as_ref());
        let Some(DiabetesEntry::Some(diabetes)) = entry else {
            return DiabetesView { kind: fact.because(), nothing_more: fact.holds(), ..found };
        };
        let kind = match &diabetes.kind {
            DiabetesKind::Number(number) => format!("type {number}"),
            DiabetesKind::Words(words) => words.clone(),
        };
        let (mmol_per_mol, percent, typed) = match (&facts.derived.hba1c, diabetes.hba1c.value()) {
            (Value::Known(known), _) => {
                (known.value.mmol_per_mol.to_string(), known.value.percent.to_string(), String::new())
            }
            _ => (String::new(), String::new(), measured(&diabetes.hba1c, ToString::to_string)),
        };
        let has_value = diabetes.hba1c.value().is_some();
        let tested = diabetes.tested.filter(|_| has_value);
        DiabetesView {
            kind,
            mmol_per_mol,
            percent,
            typed,
            tested: tested.map_or_else(String::new, CivilDate::clinical),
            has_no_day: has_value && diabetes.tested.is_none(),
            ..found
        }
    }

    /// The same at the beginning of a sentence.
    pub(in crate::documents) fn capitalised(self) -> DiabetesView {
        DiabetesView { kind: capitalised(&self.kind), ..self }
    }

    /// About how many letters it takes.
    pub(in crate::documents) fn letters(&self) -> usize {
        let parts = [&self.kind, &self.mmol_per_mol, &self.percent, &self.typed, &self.tested];
        let words = if self.holds { 20 } else { 12 };
        parts.iter().map(|part| part.chars().count()).sum::<usize>() + words
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    /// Only what was told is said to come from elsewhere.
    #[test]
    fn an_index_that_is_worked_out_here_was_not_measured_elsewhere() {
        let abpi = |fragment: &str| row(&facts_of(fragment), Side::Left).abpi;
        assert!(!abpi("vascular: {left: {abpi: \"1.05\"}}").contains("measured elsewhere"));
        assert_eq!(
            abpi("vascular: {brachial: ~, left: {abpi: \"1.05\"}}"),
            "1.05 (normal), measured elsewhere"
        );
    }

    #[test]
    fn a_gap_stands_in_its_column_or_below() {
        let gap = "{not_recorded: leg in plaster}";
        let facts = facts_of(&format!(
            "vascular: {{left: {{pulses: {gap}, toe: {gap}, dorsalis_pedis: {gap}}}}}\nsensation: {{left: {gap}}}"
        ));
        let view = CirculationView::of(&facts);
        let left = &view.rows[1];
        for cell in [&left.pulses, &left.toe, &left.sensation] {
            assert_eq!(cell, "Not recorded: leg in plaster");
        }
        assert_eq!(view.gaps, "Left ankle pressures not recorded: leg in plaster");
        assert!(left.abpi.starts_with("1.03"), "{}: worked out from the other artery", left.abpi);
        let hba1c = facts_of(&format!("history: {{diabetes: {{type: 2, hba1c: {gap}}}}}"));
        assert_eq!(DiabetesView::of(&hba1c).typed, "not recorded: leg in plaster");
    }

    #[test]
    fn the_letter_names_only_what_was_recorded() {
        let said = |fragment: &str| -> Vec<String> {
            let found = examination(&facts_of(fragment));
            found
                .iter()
                .map(|foot| format!("{}: {}", if foot.is_both { "Both" } else { &foot.side }, foot.found))
                .collect()
        };
        let alone = "vascular: {brachial: ~, right: {toe: ~}, left: ~}\nsensation: ~";
        assert_eq!(said(alone), ["Right: pulses palpable", "Left: not recorded"]);
        let alike = "vascular: {brachial: ~, right: {toe: ~, pulses: weak}, left: {toe: ~, pulses: weak}}\nsensation: ~";
        assert_eq!(said(alike), ["Both: pulses weak"]);
    }

    #[test]
    fn doppler_sounds_stand_beside_the_pulses_and_nowhere_if_nothing_was_said() {
        let sounds = "vascular: {right: {doppler: DP triphasic + PT biphasic}, left: {doppler: {not_recorded: no probe}}}";
        let facts = facts_of(sounds);
        let rows = CirculationView::of(&facts).rows;
        assert_eq!(
            [&rows[0].doppler, &rows[1].doppler],
            ["DP triphasic + PT biphasic", "not recorded: no probe"]
        );
        let said = examination(&facts);
        assert!(
            said[0].found.contains("pulses palpable, Doppler sounds DP triphasic + PT biphasic"),
            "{said:?}"
        );
        assert!(said[1].found.contains("Doppler sounds not recorded: no probe"), "{said:?}");
        assert_eq!(CirculationView::of(&facts_of("")).rows[0].doppler, "");
    }

    #[test]
    fn what_the_indices_lack_is_named_once_and_in_words() {
        let view = |fragment: &str| CirculationView::of(&facts_of(fragment));
        let toeless = view("vascular: {right: {toe: ~}, left: {toe: ~}}");
        assert!(toeless.has_pressures);
        assert_eq!(toeless.unknown, "", "the column of toe pressures says so");
        let armless = view("vascular: {brachial: ~}");
        assert_eq!(armless.unknown, "arm pressures not recorded");
        let none = view("vascular: ~\nsensation: ~");
        assert!(!none.has_pressures && !none.is_recorded);
    }

    #[test]
    fn diabetes_is_none_or_known_or_not_recorded() {
        let of = |fragment: &str| DiabetesView::of(&facts_of(fragment));
        let is_recorded = true;
        assert_eq!(of(""), DiabetesView { is_recorded, ..DiabetesView::default() });
        assert_eq!(of("history: {diabetes: ~}"), DiabetesView::default());
        let named = of("history: {diabetes: ~, conditions: [type 2 diabetes]}");
        assert_eq!((named.kind.as_str(), named.nothing_more, named.holds), ("type 2 diabetes", true, true));
        let known = of("history: {diabetes: {type: 2, hba1c: 58 mmol/mol, tested: 2026-10-02}}");
        assert_eq!((known.kind.as_str(), known.mmol_per_mol.as_str()), ("type 2", "58"));
        assert_eq!((known.tested.as_str(), known.typed.as_str()), ("02-Oct-2026", ""));
        assert!(of("history: {diabetes: {type: 2, hba1c: 58 mmol/mol}}").has_no_day);
        let silent = of("history: {diabetes: {type: gestational}}");
        assert_eq!((silent.kind.as_str(), silent.typed.as_str()), ("gestational", "not recorded"));
        assert!(silent.holds && !silent.has_no_day && silent.tested.is_empty());
    }
}
