//! Every publication this tool rests on, by field. The only place with titles and addresses.

pub mod advice;
pub mod anaesthetic;
pub mod circulation;
pub mod consent;
pub mod diabetes;
pub mod incidents;
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
        incidents::ALL,
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
    use crate::clinical::Seen;

    /// Sources that could be read at no address of their own. The number may only fall.
    const MOST_WITHOUT_ADDRESS: usize = 40;

    /// Kinds of page that nothing printed may rest on: dictionaries, slides, encyclopaedias that anybody
    /// edits, weblogs, and sites of copies.
    const NO_SOURCE: &[&str] = &[
        "medical dictionary",
        "slide",
        "wiki",
        "ganfyd",
        "blog",
        "wordpress",
        "scribd",
        "docslib",
        "docplayer",
        "paperzz",
        "yumpu",
        "issuu",
        "issuhub",
        "readkong",
        "studylib",
        "fdocuments",
        "vdocuments",
        "pdfslide",
        "brainscape",
        "drugibank",
        "imeds.se",
        "rxreasoner",
        "bahamas",
    ];

    #[test]
    fn keys_are_unique() {
        let mut keys: Vec<&str> = all().map(|source| source.key).collect();
        let count = keys.len();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), count);
    }

    #[test]
    fn no_source_is_a_dictionary_a_slide_show_a_weblog_or_a_copy_site() {
        let mut wrong = Vec::new();
        for source in all() {
            let whole = format!("{} {} {} {}", source.key, source.title, source.publisher, source.seen);
            let whole = whole.to_lowercase();
            wrong.extend(
                NO_SOURCE
                    .iter()
                    .filter(|kind| whole.contains(**kind))
                    .map(|kind| format!("{}: {kind}", source.key)),
            );
        }
        assert_eq!(wrong, Vec::<String>::new());
    }

    #[test]
    fn an_address_can_be_opened() {
        for source in all() {
            if let Seen::Original(address) = source.seen {
                let first = address.split_whitespace().next().unwrap_or_default();
                let host = first.strip_prefix("https://").or(first.strip_prefix("http://"));
                assert!(
                    host.is_some_and(|host| host.split('/').next().is_some_and(|host| host.contains('.'))),
                    "{}: {address} is no address",
                    source.key
                );
            }
        }
    }

    #[test]
    fn sources_without_an_address_only_become_fewer() {
        let without: Vec<&str> = all()
            .filter(|source| !matches!(source.seen, Seen::Original(_)))
            .map(|source| source.key)
            .collect();
        assert_eq!(
            without.len(),
            MOST_WITHOUT_ADDRESS,
            "one more: name an address that a reader can open; fewer: lower the number. {without:?}"
        );
    }
}
