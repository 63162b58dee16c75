//! Every publication this tool rests on, by field. The only place with titles and addresses.

pub mod advice;
pub mod anaesthetic;
pub mod circulation;
pub mod consent;
pub mod diabetes;
pub mod procedure;
pub mod records;

use super::Source;

/// All of them.
pub fn all() -> impl Iterator<Item = &'static Source> {
    [
        advice::ALL,
        anaesthetic::ALL,
        circulation::ALL,
        consent::ALL,
        diabetes::ALL,
        procedure::ALL,
        records::ALL,
    ]
    .into_iter()
    .flatten()
    .copied()
}

/// The source of a key, as the tables name it.
pub fn by_key(key: &str) -> Option<&'static Source> {
    all().find(|source| source.key == key)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_unique() {
        let mut keys: Vec<&str> = all().map(|source| source.key).collect();
        let count = keys.len();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), count);
    }
}
