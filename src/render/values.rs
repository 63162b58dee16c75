//! Which values a template names, and whether there are such values, without filling it: also in
//! branches that no case takes, and in conditions, where Tera takes an absent value for false.
//!
//! What cannot be told for certain (a component, a list worked out in a tag) is passed over.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value as Json;

use super::tags::{PieceKind, Token, TokenKind, line_and_column, pieces};
use super::{TemplateError, Templates, unknown_value};

/// The values that there are, learnt from views.
#[derive(Debug, Clone, Default)]
pub struct Known {
    keys: BTreeMap<String, Known>,
    items: Option<Box<Known>>,
    /// Nothing is known of what is inside: a list that was empty in every view.
    is_open: bool,
}

impl Known {
    /// Adds what a view holds.
    pub fn learn(&mut self, view: &Json) {
        match view {
            Json::Object(keys) => {
                keys.iter().for_each(|(key, value)| self.keys.entry(key.clone()).or_default().learn(value));
            }
            Json::Array(items) => {
                let inside =
                    self.items.get_or_insert_with(|| Box::new(Known { is_open: true, ..Known::default() }));
                for item in items {
                    inside.is_open = false;
                    inside.learn(item);
                }
            }
            _ => {}
        }
    }
}

/// What a template and all that it includes name.
#[derive(Debug, Default)]
pub struct Named {
    /// Values that there are, by path: `plan.actions`, `toes[].code`.
    pub values: BTreeSet<String>,
    /// Values that there are not.
    pub unknown: Vec<TemplateError>,
}

/// Words of Tera that name no value.
const KEYWORDS: &[&str] = &[
    "and", "or", "not", "in", "is", "if", "else", "true", "false", "True", "False", "none", "None", "null",
    "loop", "self", "super",
];

/// Files include each other no deeper than this; Tera has refused a circle before.
const DEEPEST: usize = 16;

/// A name that a `for` or a `set` made: a value of the view, or something that cannot be told.
type Bound<'k> = Option<(String, &'k Known)>;

struct Reader<'t, 'k> {
    templates: &'t Templates,
    known: &'k Known,
    named: Named,
}

/// What a template names.
pub(super) fn named(templates: &Templates, template: &str, known: &Known) -> Named {
    let mut reader = Reader { templates, known, named: Named::default() };
    reader.file(template, &mut vec![], 0);
    reader.named
}

impl<'k> Reader<'_, 'k> {
    fn file(&mut self, name: &str, scope: &mut Vec<(String, Bound<'k>)>, depth: usize) {
        let Some(text) = self.templates.words.get(name).filter(|_| depth < DEEPEST).cloned() else { return };
        let mut loops = Vec::new();
        let mut is_component = false;
        for piece in pieces(&text) {
            let (PieceKind::Value(tokens) | PieceKind::Statement(tokens)) = &piece.kind else { continue };
            let is_value = matches!(piece.kind, PieceKind::Value(_));
            let first = tokens.first().map_or("", |first| first.text);
            if is_component || (!is_value && first == "component") {
                is_component = is_value || first != "endcomponent";
                continue;
            }
            // A call of a component.
            if ["<", "@"].contains(&first) || first.starts_with("</") {
                continue;
            }
            let place = Place { name, text: &text };
            match (is_value, first) {
                (true, _) => self.expression(tokens, scope, &place),
                (false, "for") => {
                    loops.push(scope.len());
                    self.for_loop(&tokens[1..], scope, &place);
                }
                (false, "endfor") => scope.truncate(loops.pop().unwrap_or(0)),
                (false, "set" | "set_global") => self.set(&tokens[1..], scope, &place),
                (false, "include" | "extends") => {
                    for included in tokens.iter().filter(|token| token.kind == TokenKind::Quoted) {
                        self.file(included.text, &mut scope.clone(), depth + 1);
                    }
                }
                (false, "if" | "elif" | "filter") => self.expression(&tokens[1..], scope, &place),
                _ => {}
            }
        }
    }

    fn for_loop(&mut self, tokens: &[Token<'_>], scope: &mut Vec<(String, Bound<'k>)>, place: &Place<'_>) {
        let Some(at) = tokens.iter().position(|token| token.is("in")) else { return };
        let (names, over) = (&tokens[..at], &tokens[at + 1..]);
        self.expression(over, scope, place);
        let is_single = names.len() == 1;
        let item = self.value(over, scope).filter(|_| is_single).and_then(|(path, known)| {
            let inside = known.items.as_deref()?;
            Some((format!("{path}[]"), inside))
        });
        for name in names.iter().filter(|token| token.kind == TokenKind::Name) {
            scope.push((name.text.to_owned(), item.clone()));
        }
    }

    fn set(&mut self, tokens: &[Token<'_>], scope: &mut Vec<(String, Bound<'k>)>, place: &Place<'_>) {
        let Some(name) = tokens.first() else { return };
        let bound = match tokens.get(1) {
            Some(equals) if equals.is("=") => {
                self.expression(&tokens[2..], scope, place);
                self.value(&tokens[2..], scope)
            }
            _ => None,
        };
        scope.push((name.text.to_owned(), bound));
    }

    /// The value of a path that stands alone.
    fn value(&self, tokens: &[Token<'_>], scope: &[(String, Bound<'k>)]) -> Bound<'k> {
        let path = path_at(tokens, 0);
        if path.len() * 2 != tokens.len() + 1 {
            return None;
        }
        let (head, inside) = path.split_first()?;
        let start = match scope.iter().rev().find(|(name, _)| name == head.text) {
            Some((_, bound)) => bound.clone()?,
            None => (head.text.to_owned(), self.known.keys.get(head.text)?),
        };
        inside.iter().try_fold(start, |(path, known), part| {
            Some((format!("{path}.{}", part.text), known.keys.get(part.text)?))
        })
    }

    fn expression(&mut self, tokens: &[Token<'_>], scope: &[(String, Bound<'k>)], place: &Place<'_>) {
        if tokens.iter().any(|token| token.is("for")) {
            return;
        }
        let mut at = 0;
        while at < tokens.len() {
            let path = path_at(tokens, at);
            let after = at + (path.len() * 2).max(2) - 1;
            if names_a_value(tokens, at, after) {
                self.path(&path, scope, place);
            }
            at = after;
        }
    }

    fn path(&mut self, path: &[Token<'_>], scope: &[(String, Bound<'k>)], place: &Place<'_>) {
        let Some((head, inside)) = path.split_first() else { return };
        let (mut shown, mut known) = match scope.iter().rev().find(|(name, _)| name == head.text) {
            Some((_, None)) => return,
            Some((_, Some((path, known)))) => (path.clone(), *known),
            None => match self.known.keys.get(head.text) {
                Some(known) => (head.text.to_owned(), known),
                None => {
                    let own = scope.iter().map(|(name, _)| name.as_str());
                    let there = self.known.keys.keys().map(String::as_str).chain(own);
                    let says = unknown_value(head.text, None, &there.collect::<Vec<_>>());
                    self.named.unknown.push(place.error(head.at, says));
                    return;
                }
            },
        };
        let mut typed = head.text.to_owned();
        for part in inside {
            if known.is_open {
                return;
            }
            let Some(next) = known.keys.get(part.text) else {
                let there: Vec<&str> = known.keys.keys().map(String::as_str).collect();
                let says = unknown_value(part.text, Some(&typed), &there);
                self.named.unknown.push(place.error(part.at, says));
                return;
            };
            known = next;
            shown = format!("{shown}.{}", part.text);
            typed = format!("{typed}.{}", part.text);
        }
        self.named.values.insert(shown);
    }
}

/// The names of a path that begins at a token: `a`, `a.b`, `a?.b`.
fn path_at<'a>(tokens: &[Token<'a>], at: usize) -> Vec<Token<'a>> {
    let mut path = Vec::new();
    let mut next = at;
    while let Some(name) = tokens.get(next).filter(|token| token.kind == TokenKind::Name) {
        path.push(*name);
        let is_dot = tokens.get(next + 1).is_some_and(|token| token.is(".") || token.is("?."));
        let is_followed = tokens.get(next + 2).is_some_and(|token| token.kind == TokenKind::Name);
        if !(is_dot && is_followed) {
            break;
        }
        next += 2;
    }
    path
}

/// Not a filter, a test, a function, the name of an argument or a keyword.
fn names_a_value(tokens: &[Token<'_>], at: usize, after: usize) -> bool {
    let is_name = tokens[at].kind == TokenKind::Name && !KEYWORDS.contains(&tokens[at].text);
    let before = |back: usize| at.checked_sub(back).map(|at| tokens[at]);
    let is_before = |back, text| before(back).is_some_and(|token| token.is(text));
    let is_filter = is_before(1, "|") || is_before(1, ".") || is_before(1, "?.");
    let is_test = is_before(1, "is") || (is_before(1, "not") && is_before(2, "is"));
    let is_after = |ahead: usize, text| tokens.get(after + ahead).is_some_and(|token| token.is(text));
    let is_argument = is_after(0, "(") || is_after(0, "=") || is_after(0, ":");
    let asks_whether_defined = is_after(0, "is")
        && ["defined", "undefined"]
            .iter()
            .any(|test| is_after(1, test) || (is_after(1, "not") && is_after(2, test)));
    is_name && !is_filter && !is_test && !is_argument && !asks_whether_defined
}

struct Place<'a> {
    name: &'a str,
    text: &'a str,
}

impl Place<'_> {
    fn error(&self, at: usize, message: String) -> TemplateError {
        let (line, column) = line_and_column(self.text, at);
        TemplateError::at(self.name, line, column, message)
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn read(text: &str) -> (Vec<String>, Vec<String>) {
        let templates =
            Templates::with_overrides(vec![("gp-letter/main.typ".into(), text.into())]).expect("parses");
        let mut known = Known::default();
        known.learn(&json!({"name": "x", "toes": [], "empty": [], "page": {"title": "t"}}));
        known.learn(&json!({"name": "x", "toes": [{"code": "L1", "edges": ["medial"]}], "empty": [], "page": {"title": ""}}));
        let named = named(&templates, "gp-letter/main.typ", &known);
        let unknown = named.unknown.iter().map(|one| format!("{}:{} {}", one.line, one.column, one.message));
        (named.values.into_iter().collect(), unknown.collect())
    }

    #[test]
    fn values_are_found_wherever_they_stand() {
        let (values, unknown) = read(
            "{{ name | upper | str }}{% if page.title == \"nope\" and not toes %}{% elif name is starting_with(pat=\"x\") %}{% endif %}\
             {% for toe in toes %}{{ toe.code }}{% for edge in toe.edges %}{{ edge }}{{ loop.index }}{% endfor %}{% endfor %}\
             {% for e in empty %}{{ e.anything }}{% endfor %}{% set t = page %}{{ t.title }}{{ name if toes | length == 1 else \"z\" }}",
        );
        assert_eq!(unknown, Vec::<String>::new());
        assert_eq!(
            values,
            ["empty", "name", "page", "page.title", "toes", "toes[].code", "toes[].edges", "toes[].edges[]"]
        );
    }

    #[test]
    fn a_value_that_is_not_there_is_found_where_tera_would_take_it_for_false() {
        let (_, unknown) = read("{% if naem %}\n{{ 1 }}{% endif %}");
        assert_eq!(unknown.len(), 1, "{unknown:?}");
        assert!(unknown[0].starts_with("1:7 there is no value `naem`; did you mean `name`?"), "{unknown:?}");
        for (text, place) in [
            ("{% if false %}{{ nope }}{% endif %}", "1:18 there is no value `nope`"),
            ("\n{{ page.titel }}", "2:9 there is no value `titel` in `page`; did you mean `title`?"),
            ("{% for toe in toes %}{{ toe.kode }}{% endfor %}", "1:29 there is no value `kode` in `toe`"),
            ("{% for toe in toe %}{% endfor %}", "1:15 there is no value `toe`"),
            ("{{ name.first }}", "1:9 there is no value `first` in `name`"),
        ] {
            let (_, unknown) = read(text);
            assert!(unknown.len() == 1 && unknown[0].starts_with(place), "{text}: {unknown:?}");
        }
        let (_, unknown) = read("{% for toe in toes %}{% endfor %}{{ toe }}");
        assert_eq!(unknown.len(), 1, "a name of a loop ends with it");
        let (_, unknown) = read("{% if nope is defined or nope is not undefined %}{% endif %}");
        assert_eq!(unknown, Vec::<String>::new());
    }

    #[test]
    fn an_included_file_is_read_with_the_names_around_it() {
        let (values, unknown) = read("{% include \"amended.typ\" %}");
        assert!(unknown.iter().any(|one| one.contains("`replaced_version` in `page`")), "{unknown:?}");
        assert!(values.is_empty(), "{values:?}");
    }
}
