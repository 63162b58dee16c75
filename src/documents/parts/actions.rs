//! What the general practice is asked to do: what the practitioner typed, and what was worked out. The
//! sentences stand in `templates/clinician/actions.typ`, so that letter and note ask for the same.

use serde::Serialize;

use crate::case::GpActions;
use crate::derive::{FootRisk, PracticeAction, Urgency};
use crate::facts::Facts;

/// Everything that the practice is asked for.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
pub(in crate::documents) struct Actions {
    /// At least one thing is asked for.
    any: bool,
    /// As typed.
    pub(in crate::documents) typed: Vec<String>,
    /// Worked out, the most urgent first.
    derived: Vec<Derived>,
    /// `none` was typed: nothing beyond what is worked out.
    none_is_typed: bool,
}

/// One of those that were worked out; exactly one of the flags holds.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one sentence that stands or does not")]
struct Derived {
    is_active_foot: bool,
    /// Active disease that cannot wait for a working day.
    is_at_once: bool,
    is_foot_protection: bool,
    is_circulation: bool,
    is_hba1c_high: bool,
    is_hba1c_wanted: bool,
    /// What it rests on: `reduced sensation and poor circulation`.
    because: String,
    /// `high`, `moderate`.
    tier: String,
    /// `within 2 to 4 weeks`.
    first_seen: String,
    /// `75 mmol/mol (9.0 %)`, or the day of the last test.
    hba1c: String,
}

impl Actions {
    pub(in crate::documents) fn of(facts: &Facts) -> Actions {
        let entry = facts.case.follow_up.as_ref().and_then(|follow_up| follow_up.gp_actions.as_ref());
        let typed = entry.map_or(&[][..], GpActions::list).to_vec();
        let derived: Vec<Derived> = facts.derived.practice_actions.iter().map(view).collect();
        Actions {
            any: !typed.is_empty() || !derived.is_empty(),
            none_is_typed: matches!(entry, Some(GpActions::None(_))),
            typed,
            derived,
        }
    }
}

fn view(action: &PracticeAction) -> Derived {
    let none = Derived::default;
    match action {
        PracticeAction::ActiveFoot { urgency, because } => Derived {
            is_active_foot: true,
            is_at_once: *urgency == Urgency::AtOnce,
            because: because.clone(),
            ..none()
        },
        PracticeAction::FootProtection { risk, first_seen, because } => Derived {
            is_foot_protection: true,
            tier: FootRisk::word(*risk).to_owned(),
            first_seen: (*first_seen).to_owned(),
            because: because.clone(),
            ..none()
        },
        PracticeAction::Circulation { because } => {
            Derived { is_circulation: true, because: because.clone(), ..none() }
        }
        PracticeAction::Hba1cHigh { result } => Derived {
            is_hba1c_high: true,
            hba1c: format!("{} mmol/mol ({} %)", result.mmol_per_mol, result.percent),
            ..none()
        },
        PracticeAction::Hba1cWanted { last } => Derived {
            is_hba1c_wanted: true,
            hba1c: last.map_or_else(String::new, |day| day.clinical()),
            ..none()
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn none_is_said_only_if_it_was_typed() {
        let of = |fragment: &str| Actions::of(&facts_of(fragment));
        assert_eq!(of(""), Actions::default());
        let none = of("follow_up: {gp_actions: none}");
        assert!(none.none_is_typed && !none.any);
        let asked = of("follow_up: {gp_actions: [check INR]}");
        assert_eq!((asked.any, asked.typed), (true, vec!["check INR".to_owned()]));
    }

    #[test]
    fn what_is_worked_out_stands_whatever_was_typed() {
        for typed in ["none", "[check INR]", "~"] {
            let actions = Actions::of(&facts_of(&format!(
                "{{follow_up: {{gp_actions: {typed}}}, history: {{diabetes: {{type: 2}}, foot: []}}, \
                  sensation: {{left: 5/10}}}}"
            )));
            assert!(actions.any);
            let [foot, hba1c] = actions.derived.as_slice() else { panic!("{:?}", actions.derived) };
            assert!(foot.is_foot_protection && hba1c.is_hba1c_wanted && hba1c.hba1c.is_empty());
            assert_eq!((foot.tier.as_str(), foot.first_seen.as_str()), ("moderate", "within 6 to 8 weeks"));
        }
    }
}
