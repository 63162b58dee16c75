//! Tera: which words appear. Templates built in or overridden, and the ONE escape function.
//!
//! Knows no document and no case: a template's name and a view go in, Typst text comes out.

pub mod embedded;
mod escape;
mod origins;
mod tags;
mod values;

use std::collections::BTreeMap;
use std::fmt;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use tera::{Context, ErrorKind, Kwargs, State, Tera};

use embedded::{EMBEDDED, Kind};
pub use escape::{BREAK, literal};
pub use origins::Origins;
pub use values::{Known, Named};

use crate::hash::sha256;
use crate::words::{self, List};
use tags::{PieceKind, TokenKind, line_and_column, pieces};

/// A template that could not be read or filled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TemplateError {
    /// The template's name.
    pub template: String,
    /// Line from 1; 0 if the place is not known.
    pub line: usize,
    /// Column from 1.
    pub column: usize,
    /// What is wrong.
    pub message: String,
}

impl std::error::Error for TemplateError {}

impl fmt::Display for TemplateError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let TemplateError { template, line, column, message } = self;
        match line {
            0 => write!(f, "{template}: {message}"),
            _ => write!(f, "{template}:{line}:{column}: {message}"),
        }
    }
}

impl TemplateError {
    fn new(template: impl Into<String>, message: impl Into<String>) -> TemplateError {
        TemplateError::at(template, 0, 0, message)
    }

    fn at(
        template: impl Into<String>,
        line: usize,
        column: usize,
        message: impl Into<String>,
    ) -> TemplateError {
        TemplateError { template: template.into(), line, column, message: message.into() }
    }

    /// What Tera said, in our words where it is a slip of the pen.
    fn from_tera(template: &str, problem: &tera::Error) -> TemplateError {
        match problem.kind() {
            ErrorKind::Msg(said) => from_report(said).unwrap_or_else(|| TemplateError::new(template, said)),
            ErrorKind::SyntaxError(report) | ErrorKind::RenderingError(report) => {
                let span = report.span();
                let message = reworded(report.message());
                TemplateError::at(report.filename(), span.start_line, span.start_col + 1, message)
            }
            ErrorKind::MissingParent { current, parent } => {
                TemplateError::new(current, no_such_template(parent))
            }
            ErrorKind::CircularInclude { tpl, .. } | ErrorKind::CircularExtend { tpl, .. } => {
                TemplateError::new(tpl, "this file includes itself")
            }
            _ => TemplateError::new(template, problem.to_string()),
        }
    }
}

/// The looks that every document begins with.
const LAYOUT: &str = "layout.typ";

/// Typst source text, ready to be set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TypstSource {
    /// The main file.
    pub main: String,
    /// Pure Typst files that the main file imports: virtual path and text.
    pub files: Vec<(String, String)>,
}

/// All templates, each parsed once.
#[derive(Debug)]
pub struct Templates {
    parsed: Parsed,
    looks: Vec<(String, String)>,
    /// Every file of words by name; where any was replaced, the built-in ones also as `builtin/NAME`.
    words: BTreeMap<String, String>,
    /// The files that differ from the built-in ones.
    own: BTreeMap<String, String>,
    overridden: Option<String>,
}

/// A template with what it includes, once it was asked for.
type Once = OnceLock<Result<Tera, TemplateError>>;

/// Files of words as Tera has read them.
#[derive(Debug)]
enum Parsed {
    /// All at once, where a clinic has its own: each must be sound before any is used.
    Together(Box<Tera>),
    /// The built-in ones, which the tests have read: those that a document is made of, when it is first made. By the
    /// name of its file.
    OneByOne(Mutex<BTreeMap<String, Arc<Once>>>),
}

impl Templates {
    /// The built-in templates.
    pub fn built_in() -> Templates {
        Templates::with_overrides(Vec::new()).expect("the built-in templates are read in the tests")
    }

    /// The built-in templates with some files replaced: name (`gp-letter/main.typ`) and text.
    /// A replaced file of words stays within reach as `builtin/NAME`, to be extended or included. A
    /// text that is the built-in one replaces nothing, and is not judged: the tests have done that.
    ///
    /// # Errors
    /// Names that are not built in, all of them; else the first text that does not parse.
    pub fn with_overrides(overrides: Vec<(String, String)>) -> Result<Templates, Vec<TemplateError>> {
        let mut own = BTreeMap::new();
        let mut problems = Vec::new();
        for (name, text) in overrides {
            match EMBEDDED.iter().find(|file| file.name == name) {
                None => problems.push(TemplateError::new(&name, no_such_template(&name))),
                Some(file) => {
                    // Editors on Windows end lines with two characters and mark the file as UTF-8.
                    let text = text.trim_start_matches('\u{feff}').replace("\r\n", "\n");
                    if text != file.text {
                        own.insert(name, text);
                    }
                }
            }
        }
        let mut looks = Vec::new();
        let mut words = BTreeMap::new();
        for file in EMBEDDED {
            let text = own.get(file.name).map_or(file.text, String::as_str).to_owned();
            match file.kind {
                Kind::Looks => looks.push((file.name.to_owned(), text)),
                Kind::Words => {
                    words.insert(file.name.to_owned(), text);
                    // No built-in file asks for another under this name: only a clinic's own can.
                    if !own.is_empty() {
                        words.insert(format!("builtin/{}", file.name), file.text.to_owned());
                    }
                }
            }
        }
        let is_of_words = |(name, _): &(&String, &String)| words.contains_key(*name);
        problems.extend(own.iter().filter(is_of_words).filter_map(|(name, text)| forbid_safe(name, text)));
        if !problems.is_empty() {
            return Err(problems);
        }
        let parsed = if own.is_empty() {
            Parsed::OneByOne(Mutex::default())
        } else {
            let all = parse(words.clone());
            Parsed::Together(Box::new(
                all.map_err(|problem| vec![TemplateError::from_tera("templates", &problem)])?,
            ))
        };
        let overridden = (!own.is_empty()).then(|| hash_of(&own));
        Ok(Templates { parsed, looks, words, own, overridden })
    }

    fn fill(&self, template: &str, view: &serde_json::Value) -> Result<String, TemplateError> {
        match &self.parsed {
            Parsed::Together(tera) => fill(tera, template, view),
            Parsed::OneByOne(parsed) => {
                let one = parsed
                    .lock()
                    .unwrap_or_else(PoisonError::into_inner)
                    .entry(template.to_owned())
                    .or_default()
                    .clone();
                let read = || {
                    parse(self.within(template))
                        .map_err(|problem| TemplateError::from_tera(template, &problem))
                };
                fill(one.get_or_init(read).as_ref().map_err(Clone::clone)?, template, view)
            }
        }
    }

    /// A file of words and those that it includes: they are named in quotation marks.
    fn within(&self, template: &str) -> BTreeMap<String, String> {
        let mut found = BTreeMap::new();
        let mut named = vec![template];
        while let Some(name) = named.pop() {
            if let Some((name, text)) =
                self.words.get_key_value(name).filter(|(name, _)| !found.contains_key(*name))
            {
                found.insert(name.clone(), text.clone());
                named.extend(text.split('"').filter(|piece| piece.ends_with(".typ")));
            }
        }
        found
    }

    /// How long a template is: the longer, the longer its pages take.
    pub fn length(&self, template: &str) -> usize {
        self.words.get(template).map_or(0, String::len)
    }

    /// Source that uses the looks which every document has, and says next to nothing.
    pub fn sample(&self) -> TypstSource {
        let main = format!("#import \"{LAYOUT}\": house-style\n#show: house-style\nOne *two*");
        TypstSource { main, files: self.looks.clone() }
    }

    /// SHA-256 over names and texts of what was overridden, in hexadecimal; `None` if nothing was.
    pub fn overridden(&self) -> Option<&str> {
        self.overridden.as_deref()
    }

    /// The names of the files that differ from the built-in ones.
    pub fn own_files(&self) -> impl Iterator<Item = &str> {
        self.own.keys().map(String::as_str)
    }

    /// Which templates these are, for the metadata of a PDF: `built-in templates`, or the hash of
    /// what replaces them.
    pub fn provenance(&self) -> Vec<String> {
        vec![match &self.overridden {
            None => concat!("built-in templates ", env!("CARGO_PKG_VERSION")).to_owned(),
            Some(hash) => format!("custom templates sha256:{hash}"),
        }]
    }

    /// Fills a template. The view is an object that holds every key the template may ask for: in
    /// Tera an absent key is silently false in an `if`, see [`Templates::named`].
    ///
    /// # Errors
    /// An unknown template, or a key that the view does not hold: with line and the known keys.
    pub fn render(&self, template: &str, view: &serde_json::Value) -> Result<TypstSource, TemplateError> {
        let main = self.fill(template, view)?;
        Ok(TypstSource { main, files: self.looks.clone() })
    }

    /// Where the lines of a filled template came from. `None` if that cannot be told.
    pub fn origins(&self, template: &str, view: &serde_json::Value) -> Option<Origins> {
        let marked = self.words.iter().map(|(name, text)| (name.clone(), origins::mark(name, text)));
        let marked = parse(marked.collect()).ok()?;
        Origins::read(&fill(&marked, template, view).ok()?, &self.fill(template, view).ok()?)
    }

    /// The values that a template names, with all that it includes, and those of them that are not
    /// among the known ones.
    pub fn named(&self, template: &str, known: &Known) -> Named {
        values::named(self, template, known)
    }

    /// The first line, in a file of the clinic's own, that holds a text: name and line.
    pub fn find(&self, text: &str) -> Option<(&str, usize)> {
        self.own.iter().find_map(|(name, inside)| {
            let at = inside.lines().position(|line| line.contains(text))?;
            Some((name.as_str(), at + 1))
        })
    }

    /// The files of looks: name and text.
    pub fn looks(&self) -> &[(String, String)] {
        &self.looks
    }
}

fn parse(words: BTreeMap<String, String>) -> Result<Tera, tera::Error> {
    let mut tera = Tera::new();
    tera.autoescape_on([".typ"]);
    tera.set_escape_fn(escape::markup);
    tera.register_filter("str", |text: &str, _: Kwargs, _: &State<'_>| {
        tera::Value::safe_string(&literal(text))
    });
    tera.add_raw_templates(words)?;
    Ok(tera)
}

fn fill(tera: &Tera, template: &str, view: &serde_json::Value) -> Result<String, TemplateError> {
    let fail = |problem: tera::Error| TemplateError::from_tera(template, &problem);
    tera.render(template, &Context::from_serialize(view).map_err(fail)?).map_err(fail)
}

fn no_such_template(name: &str) -> String {
    let known: Vec<&str> = EMBEDDED.iter().map(|file| file.name).collect();
    let typed = name.strip_prefix("builtin/").unwrap_or(name);
    let own_main = known.iter().find(|known| known.split('/').next() == Some(typed.trim_end_matches(".typ")));
    let help = match words::nearest(typed, known.iter().copied()).or(own_main.copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("the templates are {}", List::and(&known)),
    };
    format!("there is no template `{name}`; {help}")
}

/// A value that is not there, with the nearest and all that are.
fn unknown_value(name: &str, inside: Option<&str>, there: &[&str]) -> String {
    let place = inside.map_or_else(String::new, |inside| format!(" in `{inside}`"));
    let near = words::nearest(name, there.iter().copied());
    let near = near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
    let gap = if near.is_empty() { ";" } else { "" };
    let all = List::and(there);
    let all = match inside {
        _ if there.is_empty() => format!("{gap} it is a text or a list and holds no values of its own"),
        None => format!("{gap} the values here are {all}"),
        Some(inside) => format!("{gap} `{inside}` holds {all}"),
    };
    let all = if near.is_empty() { all } else { all.replacen(" the ", " The ", 1) };
    format!("there is no value `{name}`{place}{near}{all}")
}

/// What Tera says of a name that it does not know, as a text of several lines: `error: …`, then
/// `--> file:line:column`.
fn from_report(said: &str) -> Option<TemplateError> {
    let (_, report) = said.split_once("error: ")?;
    let (message, rest) = report.split_once('\n')?;
    let place = rest.trim_start().strip_prefix("--> ")?.lines().next()?;
    let mut parts = place.rsplitn(3, ':');
    let (column, line, file) = (parts.next()?, parts.next()?, parts.next()?);
    Some(TemplateError::at(file, line.parse().ok()?, column.parse().ok()?, reworded(message)))
}

/// The filters that a template of documents has use for, to be suggested.
const USUAL_FILTERS: &[&str] =
    &["str", "upper", "lower", "capitalize", "length", "join", "first", "last", "replace", "trim", "reverse"];

/// A message of Tera in our words, so far as it is one of those that a slip of the pen leads to.
fn reworded(said: &str) -> String {
    let between = |start: &str| said.strip_prefix(start)?.split_once('`');
    let listed = |rest: &str| {
        let all = rest.split_once(": ").map_or("", |(_, all)| all).to_owned();
        all.split(", ").filter(|name| !name.is_empty()).map(str::to_owned).collect::<Vec<_>>()
    };
    if let Some((name, rest)) = between("Variable `").or_else(|| between("Field `")) {
        let listed = listed(rest);
        let there: Vec<&str> = listed.iter().map(String::as_str).collect();
        return unknown_value(name, None, &there);
    }
    if let Some((name, _)) = between("Unknown template `") {
        return no_such_template(name);
    }
    if let Some((name, _)) = between("Unknown filter `") {
        let near = words::nearest(name, USUAL_FILTERS.iter().copied());
        let near = near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
        return format!("there is no filter `{name}`{near}");
    }
    let mut letters = said.trim_end_matches('.').chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// The filter `safe` would let a patient's text act as Typst code.
fn forbid_safe(name: &str, text: &str) -> Option<TemplateError> {
    pieces(text).into_iter().find_map(|piece| {
        let (PieceKind::Value(tokens) | PieceKind::Statement(tokens)) = piece.kind else { return None };
        let at = tokens.windows(2).find_map(|pair| {
            let is_filter = pair[0].is("|") || (pair[0].is("filter") && pair[0].at == tokens[0].at);
            let is_safe = pair[1].kind == TokenKind::Name && pair[1].text == "safe";
            (is_filter && is_safe).then_some(pair[1].at)
        })?;
        let (line, column) = line_and_column(text, at);
        let says = "the filter `safe` would let a patient’s text act as code; write `{{ x }}` in text and \
                    `{{ x | str }}` in code";
        Some(TemplateError::at(name, line, column, says))
    })
}

fn hash_of(replaced: &BTreeMap<String, String>) -> String {
    // The lengths keep `a` + `bc` and `ab` + `c` apart.
    let one = |(name, text): (&String, &String)| format!("{} {} {name}{text}", name.len(), text.len());
    sha256(replaced.iter().map(one).collect::<String>().as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_built_in_template_is_sound_alone_and_among_all() {
        let templates = Templates::built_in();
        parse(templates.words.clone()).expect("all of them together");
        for name in templates.words.keys() {
            let within = templates.within(name);
            let names =
                |text: &str| text.matches("{% include \"").count() + text.matches("{%- include \"").count();
            let known = |text: &str| {
                text.split("include \"")
                    .skip(1)
                    .filter(|rest| {
                        rest.split('"').next().is_some_and(|included| within.contains_key(included))
                    })
                    .count()
            };
            for text in within.values() {
                assert!(known(text) >= names(text), "{name}");
            }
            parse(within).unwrap_or_else(|problem| panic!("{name}: {problem}"));
        }
        assert_eq!(templates.length("no-such/main.typ"), 0);
        let unknown =
            templates.render("no-such/main.typ", &serde_json::json!({})).expect_err("there is none");
        assert!(unknown.to_string().contains("no-such/main.typ"), "{unknown}");
    }

    fn with(text: &str) -> Result<Templates, Vec<TemplateError>> {
        Templates::with_overrides(vec![("gp-letter/main.typ".into(), text.into())])
    }

    #[test]
    fn values_are_literals_in_markup_and_in_code() {
        let templates =
            with("#f({{ x | str }})\n{{ x }}{% for y in z %} {{ y }}{% endfor %}").expect("parses");
        let view = serde_json::json!({"x": "a\"#b", "z": ["1", "2"]});
        let source = templates.render("gp-letter/main.typ", &view).expect("fills");
        assert_eq!(source.main, "#f(\"a\\\"#b\")\n#\"a\\\"#b\"; #\"1\"; #\"2\";");
    }

    #[test]
    fn an_absent_key_is_an_error_with_its_line_and_the_known_keys() {
        let templates = with("one\n{{ nope }}").expect("parses");
        let problem = templates.render("gp-letter/main.typ", &serde_json::json!({"name": "x"}));
        let said = problem.expect_err("nope is not in the view").to_string();
        assert!(said.starts_with("gp-letter/main.typ:2:4: there is no value `nope`"), "{said}");
        assert!(said.contains("name"), "{said}");
    }

    #[test]
    fn a_template_that_does_not_exist_is_suggested() {
        let problem = Templates::with_overrides(vec![("gp-leter/main.typ".into(), String::new())]);
        let said = problem.expect_err("misspelt")[0].to_string();
        assert!(said.contains("did you mean `gp-letter/main.typ`?"), "{said}");
        let problem =
            Templates::with_overrides(vec![("gp-letter".into(), String::new()), ("x".into(), String::new())]);
        let said = problem.expect_err("no such names");
        assert!(said[0].message.contains("did you mean `gp-letter/main.typ`?"), "{said:?}");
        assert!(said[1].message.contains("the templates are layout.typ, "), "{said:?}");
    }

    #[test]
    fn safe_is_refused() {
        for text in [
            "{{ x | safe }}",
            "{{ x|safe}}",
            "\n{{ x | upper |  safe }}",
            "{{ x |\n safe }}",
            "{% set y = x | safe %}",
            "{% filter safe %}{{ x }}{% endfilter %}",
        ] {
            let said = with(text).expect_err(text);
            assert!(said[0].message.contains("act as code") && said[0].line > 0, "{said:?}");
        }
        assert!(with("{{ x | str }} safe | safe {# x | safe #}").is_ok());
    }

    /// What is built in is not judged when the program starts.
    #[test]
    fn the_built_in_files_need_neither_safe_nor_another_built_in_file() {
        for file in EMBEDDED.iter().filter(|file| file.kind == Kind::Words) {
            assert_eq!(forbid_safe(file.name, file.text), None);
            assert!(!file.text.contains("\"builtin/"), "{}", file.name);
        }
    }

    #[test]
    fn a_broken_template_is_named_with_its_line() {
        let said = with("one\n{% if %}").expect_err("broken")[0].to_string();
        assert!(said.starts_with("gp-letter/main.typ:2:"), "{said}");
        let said = with("{% include \"page.typp\" %}").expect_err("no such file")[0].to_string();
        assert!(said.contains(":1:12: there is no template `page.typp`; did you mean `page.typ`?"), "{said}");
        let said = with("{{ greeting | uper }}").expect_err("no such filter")[0].to_string();
        assert_eq!(said, "gp-letter/main.typ:1:15: there is no filter `uper`; did you mean `upper`?");
        let said = with("{% include \"gp-letter/main.typ\" %}").expect_err("a circle")[0].to_string();
        assert_eq!(said, "gp-letter/main.typ: this file includes itself");
    }

    #[test]
    fn overrides_leave_a_hash() {
        let hash = |text: &str| with(text).expect("parses").overridden().map(str::to_owned);
        assert_eq!(Templates::built_in().overridden(), None);
        assert_eq!(hash("a").map(|hex| hex.len()), Some(64));
        assert_ne!(hash("a"), hash("b"));
    }

    #[test]
    fn a_file_that_was_not_changed_replaces_nothing() {
        for line_end in ["\n", "\r\n"] {
            let copied = embedded::FILES.iter().map(|(name, text)| {
                ((*name).to_owned(), format!("\u{feff}{}", text.replace('\n', line_end)))
            });
            let templates = Templates::with_overrides(copied.collect()).expect("the built-in ones");
            assert_eq!((templates.overridden(), templates.own_files().count()), (None, 0));
        }
    }

    #[test]
    fn a_place_is_traced_to_the_line_of_its_template() {
        let text = "{% include \"amended.typ\" %}\n{% for y in z %}\n{%- if y == \"2\" -%}\n  [{{ y }}]\n{% endif %}{% endfor %}fin";
        let templates = with(text).expect("parses");
        let page = serde_json::json!({"replaced_version": "1", "replaced_on": "a", "amended_because": "b", "changes": []});
        let view = serde_json::json!({"z": ["1", "2", "2"], "page": page});
        let filled = templates.render("gp-letter/main.typ", &view).expect("fills").main;
        let origins = templates.origins("gp-letter/main.typ", &view).expect("the same text");
        let place = |what: &str| {
            let at = filled.find(what).unwrap_or_else(|| panic!("{what} in {filled}"));
            let (line, column) = line_and_column(&filled, at);
            origins.of(line, column)
        };
        assert_eq!(place("\"2\""), Some(("gp-letter/main.typ", 4)));
        assert_eq!(place("fin"), Some(("gp-letter/main.typ", 5)));
        assert_eq!(place("[Reason").map(|(file, _)| file), Some("amended.typ"));
    }

    #[test]
    fn an_override_can_include_the_built_in_file() {
        let templates = with("{% if false %}{% include \"builtin/gp-letter/main.typ\" %}{% endif %}x");
        let source = templates.expect("parses").render("gp-letter/main.typ", &serde_json::json!({}));
        assert_eq!(source.expect("fills").main, "x");
    }
}
