//! The handbook: pages in Markdown under `templates/handbook/`, built in, and what of them is made from
//! the model and the rules.
//!
//! A page is one file there and one line here. It judges no case and touches no file.

mod keys;
mod plain;

use crate::case::{FORMATS, FORMS, case_schema, clinic_schema};
use crate::rules::explain::table_markdown;

/// One page.
#[derive(Debug, Clone, Copy)]
pub struct Page {
    /// What is typed after `unguis explain`; also the name of its file.
    pub name: &'static str,
    /// Its text, in Markdown.
    pub text: &'static str,
}

macro_rules! pages {
    ($($name:literal,)*) => {
        /// Every page, in the order in which they are listed.
        pub static PAGES: &[Page] = &[
            $(Page {
                name: $name,
                text: include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/templates/handbook/", $name, ".md")),
            },)*
        ];
    };
}

pages! {
    "start",
    "case-file",
    "case-keys",
    "clinic-file",
    "clinic-keys",
    "short-forms",
    "findings",
    "rules",
    "order-of-work",
    "desk",
    "identity",
    "gaps",
    "incidents",
    "visits",
    "lists",
    "register",
    "audit",
    "templates",
    "editors",
    "windows",
    "safety",
}

impl Page {
    /// What its first line says.
    pub fn title(&self) -> &'static str {
        self.text.lines().next().unwrap_or_default().trim_start_matches("# ")
    }

    /// For a terminal: no marks of Markdown but backticks, lines of at most eighty columns except in
    /// examples.
    pub fn plain(&self) -> String {
        plain::plain(self.text)
    }
}

/// The page of this name.
pub fn page(name: &str) -> Option<&'static Page> {
    PAGES.iter().find(|page| page.name == name)
}

/// The names and titles, in lines of at most eighty columns.
pub fn contents() -> String {
    let width = PAGES.iter().map(|page| page.name.len()).max().unwrap_or(0);
    PAGES.iter().map(|page| format!("  {:<width$}  {}\n", page.name, page.title())).collect()
}

/// A mark that opens a part which is made, with the name of what is made.
const OPENS: &str = "<!-- made: ";
/// And what ends it.
const ENDS: &str = "<!-- end -->\n";

/// The text with each part that is made, made anew by `make`: from the name of the part to its text.
/// `None` if a part has no end, or `make` does not know it.
pub fn made_anew(text: &str, make: impl Fn(&str) -> Option<String>) -> Option<String> {
    let mut made = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once(OPENS) {
        let (name, after) = after.split_once(" -->\n")?;
        let (_, after) = after.split_once(ENDS)?;
        made.push_str(&format!("{before}{OPENS}{name} -->\n{}{ENDS}", make(name)?));
        rest = after;
    }
    Some(made + rest)
}

/// The parts of the handbook that are made: the rules, the keys of both files with what the model says of
/// them, and how values are written.
pub fn part(name: &str) -> Option<String> {
    match name {
        "rules" => Some(table_markdown()),
        "case keys" => Some(keys::keys(&case_schema())),
        "values" => Some(values()),
        "short forms" => Some(short_forms()),
        "clinic keys" => Some(keys::keys(&clinic_schema())),
        _ => None,
    }
}

/// What is taken for what, and what is refused: the examples by which each form is tested.
fn short_forms() -> String {
    let quoted =
        |typed: &str| if typed.contains('`') { format!("`` {typed} ``") } else { format!("`{typed}`") };
    let in_one_line = |typed: &&str| !typed.contains(['\n', '|']);
    let rows = FORMS.iter().map(|form| {
        let read = form.examples.iter().filter(|(typed, full)| in_one_line(typed) && in_one_line(full));
        let read = read.take(4).map(|(typed, full)| format!("{} is {}", quoted(typed), quoted(full)));
        let refused = form.refused.iter().map(|(typed, _)| *typed).filter(in_one_line).take(3).map(quoted);
        let (read, refused) = (read.collect::<Vec<_>>(), refused.collect::<Vec<_>>());
        format!("| {} | {} | {} |\n", form.says, read.join("; "), refused.join(", "))
    });
    format!("| what | taken | refused |\n|---|---|---|\n{}", rows.collect::<String>())
}

/// How each kind of value is written, with an example that is read.
fn values() -> String {
    let rows = FORMATS.iter().map(|format| format!("| {} | `{}` |\n", format.name, format.example));
    format!("| value | written as |\n|---|---|\n{}", rows.collect::<String>())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_marked_is_made() {
        let make = |name: &str| (name == "a").then(|| "new\n".to_owned());
        let text = "x\n<!-- made: a -->\nold\nold\n<!-- end -->\ny\n";
        assert_eq!(made_anew(text, make).as_deref(), Some("x\n<!-- made: a -->\nnew\n<!-- end -->\ny\n"));
        assert_eq!(made_anew("x\n", make).as_deref(), Some("x\n"));
        assert_eq!(made_anew(&text.replace("made: a", "made: b"), make), None);
        assert_eq!(made_anew("<!-- made: a -->\nno end\n", make), None);
    }

    #[test]
    fn names_are_one_word_and_each_page_has_its_title() {
        for page in PAGES {
            assert!(page.name.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{}", page.name);
            assert!(page.text.starts_with("# "), "{}", page.name);
            assert!(page.title().len() <= 60, "{}", page.name);
        }
        let mut names: Vec<&str> = PAGES.iter().map(|page| page.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), PAGES.len(), "two pages have one name");
    }
}
