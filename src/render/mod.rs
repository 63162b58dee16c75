//! Tera: which words appear. Templates built in or overridden, and the ONE escape function.
//!
//! Knows no document and no case: a template's name and a view go in, Typst text comes out.

pub mod embedded;
mod escape;

use std::collections::BTreeMap;
use std::fmt::Write as _;

use sha2::{Digest, Sha256};
use tera::{Context, Kwargs, State, Tera};

use embedded::{EMBEDDED, Embedded, Kind};
pub use escape::literal;

use crate::diagnostic::english;

/// A template that could not be read or filled.
#[derive(Debug, thiserror::Error)]
#[error("{template}: {message}")]
pub struct TemplateError {
    /// The template's name.
    pub template: String,
    /// Line and what is wrong.
    pub message: String,
}

impl TemplateError {
    fn new(template: impl Into<String>, message: impl Into<String>) -> TemplateError {
        TemplateError { template: template.into(), message: message.into() }
    }
}

/// Typst source text, ready to be set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TypstSource {
    /// The main file.
    pub main: String,
    /// Pure Typst files that the main file imports: virtual path and text.
    pub files: Vec<(String, String)>,
}

/// All templates, parsed once.
#[derive(Debug)]
pub struct Templates {
    tera: Tera,
    looks: Vec<(String, String)>,
    overridden: Option<String>,
}

impl Templates {
    /// The built-in templates.
    pub fn built_in() -> Templates {
        Templates::with_overrides(Vec::new()).expect("the built-in templates are read in the tests")
    }

    /// The built-in templates with some files replaced: name (`gp-letter/main.typ`) and text.
    /// A replaced file of words stays within reach as `builtin/NAME`, to be extended or included.
    ///
    /// # Errors
    /// A name that is not built in, or a text that does not parse.
    pub fn with_overrides(overrides: Vec<(String, String)>) -> Result<Templates, TemplateError> {
        let mut replaced = BTreeMap::new();
        for (name, text) in overrides {
            if !EMBEDDED.iter().any(|file| file.name == name) {
                return Err(unknown_file(&name));
            }
            replaced.insert(name, text);
        }
        let text_of = |file: &Embedded| {
            replaced.get(file.name).map_or_else(|| file.text.to_owned(), |text| text.replace("\r\n", "\n"))
        };
        let mut tera = Tera::new();
        tera.autoescape_on([".typ"]);
        tera.set_escape_fn(escape::markup);
        tera.register_filter("str", |text: &str, _: Kwargs, _: &State<'_>| {
            tera::Value::safe_string(&literal(text))
        });
        let mut looks = Vec::new();
        let mut words = Vec::new();
        for file in EMBEDDED {
            match file.kind {
                Kind::Looks => looks.push((file.name.to_owned(), text_of(file))),
                Kind::Words => {
                    words.push((file.name.to_owned(), text_of(file)));
                    words.push((format!("builtin/{}", file.name), file.text.to_owned()));
                }
            }
        }
        for (name, text) in &words {
            forbid_safe(name, text)?;
        }
        let names: Vec<String> = words.iter().map(|(name, _)| name.clone()).collect();
        tera.add_raw_templates(words).map_err(|problem| {
            let said = problem.to_string();
            let template = names.into_iter().find(|name| said.contains(name.as_str()));
            TemplateError::new(template.unwrap_or_else(|| "templates".into()), said)
        })?;
        let overridden = (!replaced.is_empty()).then(|| hash_of(&replaced));
        Ok(Templates { tera, looks, overridden })
    }

    /// SHA-256 over names and texts of what was overridden, in hexadecimal; `None` if nothing was.
    pub fn overridden(&self) -> Option<&str> {
        self.overridden.as_deref()
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
    /// Tera an absent key is silently false in an `if`.
    ///
    /// # Errors
    /// An unknown template, or a key that the view does not hold: with line and the known keys.
    pub fn render(&self, template: &str, view: &serde_json::Value) -> Result<TypstSource, TemplateError> {
        let fail = |problem: tera::Error| TemplateError::new(template, problem.to_string());
        let context = Context::from_serialize(view).map_err(fail)?;
        let main = self.tera.render(template, &context).map_err(fail)?;
        Ok(TypstSource { main, files: self.looks.clone() })
    }
}

fn unknown_file(name: &str) -> TemplateError {
    let known: Vec<&str> = EMBEDDED.iter().map(|file| file.name).collect();
    let help = match english::nearest(name, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("the templates are {}", english::List::and(&known)),
    };
    TemplateError::new(name, format!("there is no template of this name; {help}"))
}

/// `| safe` would let a patient's text act as Typst code.
fn forbid_safe(name: &str, text: &str) -> Result<(), TemplateError> {
    for (at, line) in text.lines().enumerate() {
        let marks_safe = line.split('|').skip(1).any(|after| {
            after
                .trim_start()
                .strip_prefix("safe")
                .is_some_and(|rest| !rest.starts_with(|c: char| c.is_alphanumeric() || c == '_'))
        });
        if marks_safe {
            let says = format!("line {}: `safe` would let a value act as code; use `str` in code", at + 1);
            return Err(TemplateError::new(name, says));
        }
    }
    Ok(())
}

fn hash_of(replaced: &BTreeMap<String, String>) -> String {
    let mut hash = Sha256::new();
    for (name, text) in replaced {
        // The lengths keep `a` + `bc` and `ab` + `c` apart.
        hash.update(format!("{} {} ", name.len(), text.len()));
        hash.update(name);
        hash.update(text);
    }
    hash.finalize().iter().fold(String::new(), |mut hex, byte| {
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(text: &str) -> Result<Templates, TemplateError> {
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
        assert!(
            said.contains("gp-letter/main.typ") && said.contains("2:") && said.contains("nope"),
            "{said}"
        );
        assert!(said.contains("name"), "{said}");
    }

    #[test]
    fn a_template_that_does_not_exist_is_suggested() {
        let problem = Templates::with_overrides(vec![("gp-leter/main.typ".into(), String::new())]);
        let said = problem.expect_err("misspelt").to_string();
        assert!(said.contains("did you mean `gp-letter/main.typ`?"), "{said}");
    }

    #[test]
    fn safe_is_refused() {
        for text in ["{{ x | safe }}", "{{ x|safe}}", "\n{{ x | upper |  safe }}"] {
            assert!(with(text).is_err(), "{text}");
        }
        assert!(with("{{ x | str }} safe | safety").is_ok());
    }

    #[test]
    fn a_broken_template_is_named_with_its_line() {
        let said = with("one\n{% if %}").expect_err("broken").to_string();
        assert!(said.contains("gp-letter/main.typ") && said.contains("2:"), "{said}");
    }

    #[test]
    fn overrides_leave_a_hash() {
        let hash = |text: &str| with(text).expect("parses").overridden().map(str::to_owned);
        assert_eq!(Templates::built_in().overridden(), None);
        assert_eq!(hash("a").map(|hex| hex.len()), Some(64));
        assert_ne!(hash("a"), hash("b"));
    }

    #[test]
    fn an_override_can_include_the_built_in_file() {
        let templates = with("{% if false %}{% include \"builtin/gp-letter/main.typ\" %}{% endif %}x");
        let source = templates.expect("parses").render("gp-letter/main.typ", &serde_json::json!({}));
        assert_eq!(source.expect("fills").main, "x");
    }
}
