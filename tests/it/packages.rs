//! What stands around the packages: how many advisories are known and put up with, and that each has its reason.

use crate::support::root;

/// Advisories that may stand in `.ci/advisories.toml`. The number may only fall: a new one is judged, and mended or
/// put up with by a change of this line, which somebody reads.
const MOST_ADVISORIES: usize = 7;

#[test]
fn known_advisories_have_reasons_and_only_become_fewer() {
    let text = std::fs::read_to_string(root().join(".ci/advisories.toml")).expect("the list is there");
    let entries: Vec<&str> = text.split("[[known]]").skip(1).collect();
    assert_eq!(entries.len(), MOST_ADVISORIES, "fewer: lower the number; more: see above");
    let lock = std::fs::read_to_string(root().join("Cargo.lock")).expect("the lock is there");
    for entry in entries {
        let value = |key: &str| {
            let line = entry.lines().find_map(|line| line.strip_prefix(&format!("{key} = \"")));
            line.and_then(|rest| rest.strip_suffix('"')).unwrap_or_default()
        };
        assert!(value("id").starts_with("RUSTSEC-"), "{entry}");
        assert!(value("reason").len() > 30, "{entry}");
        assert!(
            lock.contains(&format!("name = \"{}\"", value("crate"))),
            "{}: not a dependency any more",
            value("crate")
        );
    }
}
