//! Texts that would act as code if a template let them.

use serde_json::Value as Json;

use super::distinct;
use crate::documents::Template;
use crate::pipeline::Press;
use crate::typeset::syntax;

/// Texts that act in Typst or in Tera wherever they are not kept from it: in text and code, in a
/// comment, in a raw block.
const ACTING: [&str; 3] =
    [r##"#x "y" $a$ *b* _c_ @d <e> [f] \ {{ h }} {% i %} // /* */ = + - `j` ~ ] ) "##, "*/ #x", "``` #x"];

/// Places at which a text of a case would act as code, and things no template may ask for.
pub(super) fn unsafe_places(press: &Press, template: impl Into<Template>, view: &Json) -> Vec<String> {
    let template = template.into();
    let templates = &press.templates;
    let of_line = |at: usize, source: &str, view: &Json| {
        let before = source.get(..at).unwrap_or(source);
        let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        let origins = templates.origins(template.file, view)?;
        origins.of(before.matches('\n').count() + 1, column).map(|(file, line)| format!("{file}:{line}"))
    };
    let place =
        |at, source: &str, view: &Json| of_line(at, source, view).unwrap_or_else(|| template.file.to_owned());
    let filled = |text: &str| {
        let view = with_every_text(view, text);
        (templates.render(template.file, &view), view)
    };
    let mut found = Vec::new();
    for acting in ACTING {
        // As long and with as many words: a condition on that must not tell them apart.
        let tame: String = acting.chars().map(|c| if c == ' ' { ' ' } else { 'x' }).collect();
        let ((Ok(tame), tame_view), (Ok(acting), _)) = (filled(&tame), filled(acting)) else {
            // What cannot be filled is said when it is filled with the case itself.
            return Vec::new();
        };
        if let Some(forbidden) = syntax::forbidden(&tame.main) {
            found.push(format!("{}: {}", place(forbidden.at, &tame.main, &tame_view), forbidden.says));
        }
        let Some(at) = syntax::first_difference(&tame.main, &acting.main) else { continue };
        found.push(format!(
            "{}: a value stands where its text would act as code: in quotation marks, in a comment, in a raw block \
             or in code; write `{{{{ x }}}}` in text and `{{{{ x | str }}}}` in code",
            place(at, &tame.main, &tame_view)
        ));
    }
    distinct(found)
}

/// Things that no template may ask for, in the files of looks.
pub(super) fn forbidden_looks(press: &Press) -> Vec<String> {
    let looks = press.templates.looks().iter().filter_map(|(name, text)| {
        let forbidden = syntax::forbidden(text)?;
        let line = text.get(..forbidden.at).unwrap_or("").matches('\n').count() + 1;
        Some(format!("{name}:{line}: {}", forbidden.says))
    });
    looks.collect()
}

pub(super) fn with_every_text(view: &Json, text: &str) -> Json {
    match view {
        Json::String(old) if !old.is_empty() => Json::String(text.into()),
        Json::Array(items) => items.iter().map(|item| with_every_text(item, text)).collect(),
        Json::Object(keys) => {
            keys.iter().map(|(key, value)| (key.clone(), with_every_text(value, text))).collect()
        }
        other => other.clone(),
    }
}
