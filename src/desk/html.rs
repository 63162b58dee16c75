//! Screens from templates: every text of a case is escaped by the template engine, and there is no way
//! around it.

use serde_json::Value as Json;
use tera::{Context, Tera};

/// The one stylesheet.
pub(super) const STYLE: &str = include_str!("../../templates/desk/desk.css");
/// The one script: live pages and clocks. Everything else works without it.
pub(super) const SCRIPT: &str = include_str!("../../templates/desk/desk.js");
/// Two letters, so that no browser asks for another picture.
pub(super) const ICON: &str = include_str!("../../templates/desk/icon.svg");

const SCREENS: &[(&str, &str)] = &[
    ("page.html", include_str!("../../templates/desk/page.html")),
    ("cases.html", include_str!("../../templates/desk/cases.html")),
    ("case.html", include_str!("../../templates/desk/case.html")),
    ("fields.html", include_str!("../../templates/desk/fields.html")),
    ("explain.html", include_str!("../../templates/desk/explain.html")),
    ("said.html", include_str!("../../templates/desk/said.html")),
    ("trouble.html", include_str!("../../templates/desk/trouble.html")),
];

/// The templates, parsed.
pub(super) struct Html(Tera);

impl Html {
    /// The built-in ones.
    pub(super) fn new() -> Html {
        let mut tera = Tera::new();
        tera.autoescape_on([".html"]);
        tera.add_raw_templates(SCREENS.iter().copied())
            .expect("the templates of the desk are read in the tests");
        Html(tera)
    }

    /// A screen.
    pub(super) fn fill(&self, template: &str, view: &Json) -> Result<String, tera::Error> {
        self.0.render(template, &Context::from_serialize(view)?)
    }
}

/// A text as it stands in a query.
pub(super) fn in_query(text: &str) -> String {
    let mut out = String::new();
    for byte in text.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'.' | b'_' | b'-' => out.push(char::from(byte)),
            byte => out.push_str(&format!("%{byte:02X}")),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_template_of_the_desk_lets_a_text_act() {
        for (name, text) in SCREENS {
            for hatch in [
                "| safe",
                "|safe",
                "<script>",
                "style=",
                "onclick",
                "onload",
                "javascript:",
                "http:",
                "https:",
            ] {
                assert!(!text.contains(hatch), "{name}: {hatch}");
            }
        }
        for hatch in [
            "innerHTML",
            "eval(",
            "Function(",
            "document.write",
            "localStorage",
            "sessionStorage",
            "indexedDB",
            "cookie",
        ] {
            assert!(!SCRIPT.contains(hatch), "{hatch}");
        }
        assert!(!STYLE.contains("url(") && !STYLE.contains("@import"));
    }

    #[test]
    fn a_hostile_text_is_shown_and_does_nothing() {
        let view = serde_json::json!({"base": "/k", "says": "<script>alert(1)</script>\"'&{{ 7*7 }}"});
        let page = Html::new().fill("trouble.html", &view).expect("filled");
        assert!(
            page.contains("&lt;script&gt;") && !page.contains("<script>alert") && page.contains("{{ 7*7 }}")
        );
    }
}
