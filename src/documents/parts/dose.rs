//! The local anaesthetic dose in words and as a bar: what was given, what may be given, how that was
//! worked out and by whose limit. It compares nothing: shares and limits are derived values.

use rust_decimal::Decimal;
use serde::Serialize;

use super::unknown::{self, print};
use crate::case::{Anaesthetic, AuthorityKind, Operation, OtherAnaestheticEntry, PhenolSupply};
use crate::date::{CivilDate, TimeOfDay};
use crate::derive::{AgentDose, GivenUnder, Value};
use crate::documents::page::without_stop;
use crate::facts::Facts;
use crate::units::round_half_up;
use crate::words::capitalised;

/// All agents.
#[derive(Debug, Serialize)]
pub(in crate::documents) struct DoseView {
    agents: Vec<AgentView>,
    /// The sum over several agents; empty for one.
    together: String,
    /// The mass the limits use, with its working.
    weight: String,
    /// By what authority, for each product; one line where it is the same for all.
    authorities: Vec<AuthorityView>,
    /// Another anaesthetic before this one; empty if none is recorded.
    earlier: EarlierView,
}

/// By what authority, and who injected. Empty where it is not recorded.
#[derive(Debug, Default, PartialEq, Serialize)]
struct AuthorityView {
    /// Empty where the line is for all products.
    product: String,
    is_recorded: bool,
    is_exemption: bool,
    is_own_prescription: bool,
    is_group_direction: bool,
    is_specific_direction: bool,
    is_supplementary: bool,
    title: String,
    by: String,
    profession: String,
    on: String,
    until: String,
}

/// `a filling, lidocaine, 44 mg`.
#[derive(Debug, Default, Serialize)]
struct EarlierView {
    is_asked: bool,
    what: String,
    agent: String,
    dose: String,
    /// `24-Nov-2026 08:10`; empty if not recorded.
    when: String,
    is_counted: bool,
}

#[derive(Debug, Serialize)]
struct AgentView {
    products: Vec<Product>,
    dose_working: String,
    limit_working: String,
    limit_source: String,
    /// What the product text names instead of a toe; empty where it does not say otherwise.
    outside_licence: String,
    /// `22.1 %` of the limit.
    percent: String,
    room: String,
    bar: Bar,
    /// The clinic's own limit replaces the tool's.
    replaced: Replaced,
}

/// What was injected, how and by whom.
#[derive(Debug, Serialize)]
struct Product {
    /// `Mepivacaine 3 %`.
    name: String,
    /// Empty if it is not recorded.
    technique: String,
    /// `27 G, 25 mm`; `not recorded: pack thrown away`; empty where nobody has answered.
    needle: String,
    /// The technique is the one of the clinic's protocol.
    is_protocol: bool,
    /// Empty if it was the operator.
    given_by: String,
}

#[derive(Debug, Serialize)]
struct Bar {
    is_drawn: bool,
    /// The share as a decimal number for the drawing; 1 is the limit.
    length: String,
    /// What it shows in words: `Mepivacaine`, `66 mg`, `299.2 mg`.
    agent: String,
    dose: String,
    limit: String,
}

#[derive(Debug, Serialize)]
struct Replaced {
    is_there: bool,
    default: String,
    because: String,
}

impl DoseView {
    pub(in crate::documents) fn of(facts: &Facts) -> DoseView {
        let operation = facts.case.operation.as_ref();
        let agents: Vec<AgentView> =
            facts.derived.agents.iter().map(|agent| AgentView::of(facts, operation, agent)).collect();
        let is_earlier_counted =
            facts.derived.earlier_anaesthetic.as_ref().is_some_and(|earlier| earlier.share.get().is_some());
        let together = if agents.len() > 1 || is_earlier_counted {
            match facts.derived.anaesthetic_share.entry() {
                Some(sum) => sum.working.clone(),
                None => print(&facts.derived.anaesthetic_share, |_| String::new()),
            }
        } else {
            String::new()
        };
        DoseView {
            agents,
            together,
            weight: capitalised(&weight(facts)),
            authorities: authorities(facts, operation),
            earlier: EarlierView::of(facts),
        }
    }
}

/// One line for each product, or one for all where they agree.
fn authorities(facts: &Facts, operation: Option<&Operation>) -> Vec<AuthorityView> {
    let supplied = operation.and_then(|operation| operation.anaesthetic.as_ref());
    let supplied = supplied.map_or_else(Vec::new, crate::case::OneOrMany::all);
    let mut lines: Vec<AuthorityView> = facts
        .derived
        .given_under
        .iter()
        .zip(supplied)
        .map(|(given, (_, entry))| AuthorityView {
            product: capitalised(&product_name(entry)),
            ..AuthorityView::of(given)
        })
        .collect();
    let is_one = lines.windows(2).all(|pair| pair[0].is_same(&pair[1]));
    if is_one {
        lines.truncate(1);
        lines.iter_mut().for_each(|line| line.product = String::new());
    }
    lines
}

impl AuthorityView {
    fn of(given: &GivenUnder) -> AuthorityView {
        let Some((_, block)) = &given.authority else { return AuthorityView::default() };
        let text = |text: &Option<String>| text.clone().unwrap_or_default();
        let day = |day: Option<CivilDate>| day.map_or_else(String::new, CivilDate::clinical);
        AuthorityView {
            product: String::new(),
            is_recorded: true,
            is_exemption: block.under == AuthorityKind::Exemption,
            is_own_prescription: block.under == AuthorityKind::OwnPrescription,
            is_group_direction: block.under == AuthorityKind::PatientGroupDirection,
            is_specific_direction: block.under == AuthorityKind::PatientSpecificDirection,
            is_supplementary: block.under == AuthorityKind::SupplementaryPrescribing,
            title: text(&block.title),
            by: text(&block.by),
            profession: text(&block.profession),
            on: day(block.on),
            until: day(block.until),
        }
    }

    /// The same but for the product.
    fn is_same(&self, other: &AuthorityView) -> bool {
        let without = |line: &AuthorityView| {
            [&line.title, &line.by, &line.profession, &line.on, &line.until].map(String::clone)
        };
        let kinds = |line: &AuthorityView| {
            [
                line.is_recorded,
                line.is_exemption,
                line.is_own_prescription,
                line.is_group_direction,
                line.is_specific_direction,
                line.is_supplementary,
            ]
        };
        kinds(self) == kinds(other) && without(self) == without(other)
    }
}

impl EarlierView {
    fn of(facts: &Facts) -> EarlierView {
        let history = facts.case.history.as_ref();
        let entry = history.and_then(|history| history.other_anaesthetic_24h.as_ref());
        let (Some(earlier), Some(OtherAnaestheticEntry::Some(other))) =
            (&facts.derived.earlier_anaesthetic, entry)
        else {
            return EarlierView { is_asked: entry.is_some(), ..EarlierView::default() };
        };
        let when = [other.on.map(CivilDate::clinical), other.at.map(TimeOfDay::clinical)];
        EarlierView {
            is_asked: true,
            what: earlier.what.clone(),
            agent: earlier.agent.clone().unwrap_or_default(),
            dose: earlier.dose.get().map_or_else(String::new, ToString::to_string),
            when: when.into_iter().flatten().collect::<Vec<_>>().join(" "),
            is_counted: earlier.is_counted() && earlier.share.get().is_some(),
        }
    }
}

/// `measured 68 kg (body mass index 23.2)`.
fn weight(facts: &Facts) -> String {
    match (&facts.derived.dosing_weight, &facts.derived.ideal_body_weight) {
        // The working names the keys that are missing; paper does not.
        (Value::Known(mass), Value::Unknown(why)) => {
            mass.working.replace(&why.to_string(), &unknown::reason(why))
        }
        (Value::Known(mass), _) => mass.working.clone(),
        (mass, _) => print(mass, ToString::to_string),
    }
}

impl AgentView {
    fn of(facts: &Facts, operation: Option<&Operation>, agent: &AgentDose) -> AgentView {
        AgentView {
            products: products(facts, operation, agent),
            dose_working: working(&agent.dose),
            limit_working: working(&agent.limit),
            limit_source: agent.limit.entry().map_or_else(String::new, |known| known.source.short()),
            bar: Bar {
                is_drawn: agent.share.get().is_some(),
                length: agent
                    .share
                    .get()
                    .map_or_else(String::new, |share| round_half_up(*share, 4).to_string()),
                agent: capitalised(&agent.agent),
                dose: print(&agent.dose, ToString::to_string),
                limit: print(&agent.limit, ToString::to_string),
            },
            outside_licence: facts
                .derived
                .off_label_given
                .iter()
                .find(|one| one.agent == agent.agent)
                .map_or_else(String::new, |one| one.says.to_owned()),
            room: print(&agent.room, ToString::to_string),
            replaced: match &agent.replaced_limit {
                Some((default, because)) => Replaced {
                    is_there: true,
                    default: print(default, ToString::to_string),
                    because: because.clone(),
                },
                None => Replaced { is_there: false, default: String::new(), because: String::new() },
            },
            percent: print(&agent.share, |share| percent(*share)),
        }
    }
}

fn working<T>(value: &Value<T>) -> String {
    let text = value.entry().map_or_else(|| print(value, |_| String::new()), |known| known.working.clone());
    capitalised(&text)
}

/// `22.1 %`, rounded up as in the workings: a share of a limit is never printed too small.
fn percent(share: Decimal) -> String {
    let up = rust_decimal::RoundingStrategy::AwayFromZero;
    format!("{} %", (share * Decimal::ONE_HUNDRED).round_dp_with_strategy(1, up).normalize())
}

fn products(facts: &Facts, operation: Option<&Operation>, agent: &AgentDose) -> Vec<Product> {
    let supplied = operation.and_then(|operation| operation.anaesthetic.as_ref());
    let supplied = supplied.map_or_else(Vec::new, crate::case::OneOrMany::all);
    let own = supplied.iter().filter(|(step, _)| agent.entries.contains(step)).map(|(_, entry)| *entry);
    let technique =
        |entry: &Anaesthetic| entry.technique.clone().or_else(|| facts.clinic.protocol.technique.clone());
    let each = own.map(|entry| Product {
        name: capitalised(&product_name(entry)),
        technique: technique(entry).unwrap_or_default(),
        needle: if entry.needle.is_missing() {
            String::new()
        } else {
            crate::documents::page::measured(&entry.needle, ToString::to_string)
        },
        is_protocol: entry.technique.is_none() && facts.clinic.protocol.technique.is_some(),
        given_by: entry.given_by.clone().unwrap_or_default(),
    });
    let each: Vec<Product> = each.collect();
    if !each.is_empty() {
        return each;
    }
    vec![Product {
        name: capitalised(&agent.agent),
        technique: String::new(),
        needle: String::new(),
        is_protocol: false,
        given_by: String::new(),
    }]
}

/// `mepivacaine 3 %`, `lidocaine 2 % with adrenaline 1 in 200,000`.
pub(crate) fn product_name(entry: &Anaesthetic) -> String {
    let adrenaline =
        entry.adrenaline.map_or_else(String::new, |ratio| format!(" with adrenaline {}", ratio.in_words()));
    format!("{} {}{adrenaline}", entry.agent, entry.strength)
}

/// `phenol 89 %, single-use swab, Liquefied Phenol BP, Marrick Laboratories`.
pub(crate) fn phenol_name(phenol: &PhenolSupply) -> String {
    let form = phenol.form.map(|form| form.word().to_owned());
    let label = [&phenol.product, &phenol.manufacturer];
    let label = label.into_iter().flatten().map(|text| without_stop(text).to_owned());
    let name = format!("phenol {}", phenol.strength);
    std::iter::once(name).chain(form).chain(label).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn one_authority_is_said_once_and_two_are_said_of_their_products() {
        let said = |fragment: &str| DoseView::of(&facts_of(fragment)).authorities;
        let one = said("");
        assert_eq!(one.len(), 1);
        assert!(one[0].is_exemption && one[0].product.is_empty());
        let both = "{agent: mepivacaine, strength: 3 %}, {agent: articaine, strength: 4 %, \
                    authority: \"patient-specific direction by Dr A. Fenwright, 2026-11-20\"}";
        let two = said(&format!("operation: {{anaesthetic: [{both}]}}"));
        assert_eq!(two.len(), 2);
        assert_eq!((two[1].product.as_str(), two[1].by.as_str()), ("Articaine 4 %", "Dr A. Fenwright"));
        assert!(!said("operation: {authority: ~}")[0].is_recorded);
    }

    #[test]
    fn a_toe_outside_the_product_text_is_said() {
        let said = |agent: &str| {
            let facts = facts_of(&format!("operation: {{anaesthetic: {{agent: {agent}}}}}"));
            DoseView::of(&facts).agents[0].outside_licence.clone()
        };
        assert!(said("mepivacaine").contains("dental surgery"));
        assert_eq!(said("lidocaine"), "");
    }

    #[test]
    fn no_path_of_the_case_stands_on_paper() {
        let said = |fragment: &str| DoseView::of(&facts_of(fragment));
        assert_eq!(
            said("patient: {height: ~}").weight,
            "Measured 68 kg; not compared with the height: height not recorded"
        );
        let unweighed = said("patient: {weight: ~}");
        assert_eq!(unweighed.weight, "Not known (weight not recorded)");
        assert_eq!(unweighed.agents[0].limit_working, "Not known (weight not recorded)");
        assert!(!unweighed.agents[0].bar.is_drawn);
    }
}
