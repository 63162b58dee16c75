//! People, practices, leaflets and alternatives by their names: what a case says is turned into the keys of the clinic file, where one
//! name has one key.

use std::collections::BTreeMap;

use super::{Case, Clinic, GpEntry, OneOrMany};

impl Case {
    /// The case with the keys of the clinic's people and practices in place of their names. A name that two of
    /// them have, or none, stays as it is: a rule says so.
    #[must_use]
    pub fn with_keys_of(mut self, clinic: &Clinic) -> Case {
        let people = &clinic.practitioners;
        let person = |name: &mut String| {
            if let Some(key) = key_of(name, people, |person| vec![&person.name]) {
                *name = key;
            }
        };
        if let Some(GpEntry::Key(name)) = &mut self.gp {
            let practice = key_of(name, &clinic.gps, |gp| vec![&gp.practice]);
            let doctor = || key_of(name, &clinic.gps, |gp| gp.name.iter().collect());
            if let Some(key) = practice.or_else(doctor) {
                *name = key;
            }
        }
        if let Some(operation) = &mut self.operation {
            // Who assisted or counted is printed as typed: there a name says all that a key does.
            operation.operator.iter_mut().for_each(person);
            match &mut operation.anaesthetic {
                Some(OneOrMany::One(agent)) => agent.given_by.iter_mut().for_each(person),
                Some(OneOrMany::Many(agents)) => {
                    agents.iter_mut().filter_map(|agent| agent.given_by.as_mut()).for_each(person);
                }
                None => {}
            }
        }
        if let Some(consent) = &mut self.consent {
            consent.taken_by.iter_mut().for_each(person);
            for alternative in consent.alternatives.iter_mut().flatten() {
                if let Some(words) = clinic.alternatives.get(alternative.trim()) {
                    alternative.clone_from(words);
                }
            }
            if let Some(leaflet) = &mut consent.leaflet
                && let Some(title) = clinic.leaflets.get(leaflet.trim())
            {
                leaflet.clone_from(title);
            }
        }
        self
    }
}

/// The one key whose entry bears a name; `None` if the text is a key itself, or the name is of none or several.
fn key_of<T>(
    name: &str,
    entries: &BTreeMap<String, T>,
    names: impl Fn(&T) -> Vec<&String>,
) -> Option<String> {
    if entries.contains_key(name) {
        return None;
    }
    let typed = plain(name);
    let bears = |entry: &T| names(entry).into_iter().any(|name| plain(name) == typed);
    let mut found = entries.iter().filter(|(key, entry)| plain(key) == typed || bears(entry));
    match (found.next(), found.next()) {
        (Some((key, _)), None) => Some(key.clone()),
        _ => None,
    }
}

/// A name without capitals, points and spare blanks.
fn plain(name: &str) -> String {
    let small = name.to_lowercase().replace(['.', ',', '\u{a0}'], " ").replace('\u{2019}', "'");
    small.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use crate::case::GpEntry;
    use crate::rules::example::facts_of;

    fn gp(fragment: &str) -> Option<GpEntry> {
        facts_of(fragment).case.gp.clone()
    }

    #[test]
    fn a_practice_is_known_by_its_name_and_its_doctor() {
        let birchgate = Some(GpEntry::Key("birchgate".into()));
        for name in ["birchgate", "Birchgate", "Birchgate Surgery", "birchgate surgery", "Dr A Fenwright"] {
            assert_eq!(gp(&format!("gp: {name}")), birchgate, "{name}");
        }
        assert_eq!(gp("gp: Grange Surgery"), Some(GpEntry::Key("Grange Surgery".into())));
        let two =
            "{gp: Birchgate Surgery, clinic: {gps: {other: {practice: Birchgate Surgery, address: [x]}}}}";
        assert_eq!(gp(two), Some(GpEntry::Key("Birchgate Surgery".into())), "which of the two?");
    }

    #[test]
    fn a_leaflet_is_known_by_its_key() {
        let leaflet = |key: &str| {
            let clinic = "clinic: {leaflets: {before: \"Surgery, before\"}}";
            let facts = facts_of(&format!("{{consent: {{leaflet: {key}}}, {clinic}}}"));
            facts.case.consent.as_ref().and_then(|consent| consent.leaflet.clone())
        };
        assert_eq!(leaflet("before").as_deref(), Some("Surgery, before"));
        assert_eq!(leaflet("a leaflet of the ward").as_deref(), Some("a leaflet of the ward"));
    }

    /// Each is named: no key stands for several, so none is said to have been discussed that was not written.
    #[test]
    fn an_alternative_is_known_by_its_key_and_each_is_named() {
        let clinic = "clinic: {alternatives: {conservative: \"conservative care, with packing\"}}";
        let facts =
            facts_of(&format!("{{consent: {{alternatives: [no treatment, conservative]}}, {clinic}}}"));
        let said = facts.case.consent.as_ref().and_then(|consent| consent.alternatives.clone());
        assert_eq!(said, Some(vec!["no treatment".to_owned(), "conservative care, with packing".to_owned()]));
    }

    #[test]
    fn a_practitioner_is_known_by_name() {
        let facts = facts_of("operation: {operator: robin quill, assistant: Tamsin Ashdown}");
        let operation = facts.case.operation.as_ref().expect("there is one");
        assert_eq!(operation.operator.as_deref(), Some("quill"));
    }
}
