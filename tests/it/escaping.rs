//! Random text through every kind of place where a value can stand in a template: paragraph, heading,
//! list, term, table cell, emphasis, alternative text, title and other arguments of functions.
//!
//! Two comparisons, since no single one is both strict and wide:
//!
//! * **Syntax**, every string: the source filled by the real templates machinery is parsed by Typst's
//!   own parser. The tree must have the shape that it has for the text `x`, and each string literal
//!   in it must hold exactly the text that went in. Nothing is loosened here: all planes, controls,
//!   unpaired quotation marks.
//! * **Pages**, a part of the strings: set by the real typesetter, the text in the laid-out frames
//!   must be the text that went in. Loosened in three ways. The strings hold only what a case file may
//!   hold and the typefaces have; everything else is stopped before setting, which the last tests
//!   here check. White space does not count, since lines break. Variation selectors do not count,
//!   since they choose a form and leave no mark. Where letters run from right to left only the set of
//!   characters is compared, since the frame holds runs in the order of the page. Alternative text
//!   and the title are read back from the PDF with qpdf and pdfinfo; alternative text must be equal.

use std::collections::BTreeMap;

use serde_json::json;
use typst::syntax::ast::Str;
use typst::syntax::{SyntaxKind, SyntaxNode, parse};
use unguis::demo;
use unguis::render::{BREAK, Templates, TypstSource};
use unguis::typeset::{PdfMeta, TypesetError, Typesetter, unprintable};
use unicode_normalization::char::is_combining_mark;

use crate::support::{Random, inputs, scratch, tool};

/// Every kind of place, with text around it that would act if the value ended early.
const PLACES: &str = r#"#import "layout.typ": *
#show: document-page.with(
  title: {{ x | str }},
  banner: (name: {{ x | str }}, items: ({% for y in list %}({{ y | str }}, {{ y | str }}),{% endfor %})),
)
= {{ x }}
== {{ x }}.len() and {{ x }}(1)[z]
{{ x }} \
{{ x }}{{ x }}; *{{ x }}* _{{ x }}_ "{{ x }}" $ {{ x }} $
- {{ x }}
+ {{ x }}: {{ x }}
/ {{ x }}: {{ x }}
#table(columns: 2, [{{ x }}], {{ x | str }}, [*{{ x }}*])
#figure(alt: "Shows " + {{ x | str }} + ".", block[{{ x }}])
#notice("action", title: [{{ x }}])[{% for y in list %}{{ y }}{% if not loop.last %} \ {% endif %}{% endfor %}]
#headed(([A], [{{ x }}]),)
{% if x %}{{ x }}{% else %}none{% endif %}
"#;

fn templates(text: &str) -> Templates {
    Templates::with_overrides(vec![("gp-letter/main.typ".into(), text.into())]).expect("the template parses")
}

const PIECES: &[&str] = &[
    "\"",
    "\\",
    "\\\"",
    "\"]",
    "\");",
    "#",
    "#panic()",
    "#\"",
    "\";",
    ";",
    "]",
    "[",
    "}",
    "{",
    "(",
    ")",
    "$",
    "*",
    "_",
    "`",
    "```",
    "//",
    "/*",
    "*/",
    "<a>",
    "@b",
    "= ",
    "- ",
    "+ ",
    "/ ",
    "~",
    "--",
    "---",
    "...",
    "https://x.y",
    "{{ x }}",
    "{{",
    "}}",
    "{%",
    "%}",
    "{% if x %}",
    "{#",
    "#}",
    "| safe",
    "| str",
    "\\u{41}",
    "\\n",
    "\\",
    "'",
    "‘",
    "’",
    "“",
    "”",
    "«",
    "\n",
    "\r",
    "\r\n",
    "\n\n",
    "\t",
    " ",
    "  ",
    "\u{a0}",
    "\u{2028}",
    "\u{2029}",
    "\u{85}",
    "\u{b}",
    "\u{c}",
    "\0",
    "\u{1b}",
    "\u{7f}",
    "\u{ad}",
    "\u{200b}",
    "\u{200d}",
    "\u{202e}",
    "\u{2066}",
    "\u{feff}",
    "\u{fffd}",
    "\u{ffff}",
    "\u{10ffff}",
    "\u{e000}",
    "e\u{301}",
    "\u{301}",
    "é",
    "ß",
    "Ω",
    "ж",
    "א",
    "ع",
    "漢",
    "😀",
    "→",
    "≤",
    "½",
    "true",
    "none",
    "1",
    "0x1",
    "x",
];

/// A character of any plane; half of them from the first few thousand.
fn any_character(random: &mut Random) -> char {
    let end = random.pick(&[0x80, 0x500, 0x3000, 0x1_0000, 0x2_0000, 0x11_0000]);
    let code = u32::try_from(random.below(end)).expect("below the last character");
    char::from_u32(code).unwrap_or('\u{fffd}')
}

fn any_text(random: &mut Random) -> String {
    let mut text = String::new();
    for _ in 0..random.below(16) {
        if random.once_in(2) {
            text.push_str(random.pick(PIECES));
        } else {
            text.push(any_character(random));
        }
    }
    text
}

/// The tree as a list of its nodes without the texts of literals, and these texts.
fn shape(node: &SyntaxNode, nodes: &mut Vec<(SyntaxKind, String)>, literals: &mut Vec<String>) {
    if let Some(literal) = node.cast::<Str<'_>>() {
        // Where a long word may break.
        literals.push(literal.get().to_string().replace(BREAK, ""));
        nodes.push((SyntaxKind::Str, String::new()));
        return;
    }
    // Only leaves have text of their own.
    nodes.push((node.kind(), node.leaf_text().to_string()));
    node.children().for_each(|child| shape(child, nodes, literals));
}

fn parsed(source: &TypstSource) -> (Vec<(SyntaxKind, String)>, Vec<String>) {
    let (mut nodes, mut literals) = (Vec::new(), Vec::new());
    shape(&parse(&source.main), &mut nodes, &mut literals);
    (nodes, literals)
}

#[test]
fn no_text_changes_the_syntax_around_it() {
    let templates = templates(PLACES);
    let fill = |text: &str| {
        let view = json!({ "x": text, "list": [text, text] });
        parsed(&templates.render("gp-letter/main.typ", &view).expect("the view has every key"))
    };
    let (plain, literals) = fill("x");
    let places = literals.iter().filter(|literal| *literal == "x").count();
    assert!(places >= 25 && !plain.iter().any(|(kind, _)| *kind == SyntaxKind::Error), "{plain:?}");
    let mut random = Random(0x51ab_1e5e_ed00_0001);
    for _ in 0..inputs(100_000) {
        // An empty text takes the other branch of `if`, as it should.
        let text = format!("{}{}", any_text(&mut random), random.pick(&["x", "\"", "\\", "#", " "]));
        let (nodes, found) = fill(&text);
        assert!(nodes == plain, "{text:?} changed the tree");
        let without = text.replace(BREAK, "");
        let expected = literals.iter().map(|literal| if literal == "x" { &without } else { literal });
        assert!(expected.eq(found.iter()), "{text:?} did not come out: {found:?}");
    }
}

/// Each string stands in its own blocks between marks, so that one document tries a hundred.
const BLOCKS: &str = r##"#set document(title: {{ title | str }})
#import "layout.typ": typefaces
#set text(font: typefaces, fallback: false, hyphenate: false)
{% for text in texts %}
BEGIN-{{ text.at }}-paragraph-

{{ text.is }}

BEGIN-{{ text.at }}-heading-
= {{ text.is }}
BEGIN-{{ text.at }}-list-
- *{{ text.is }}*

BEGIN-{{ text.at }}-cell-
#table(columns: 1, [{{ text.is }}])
BEGIN-{{ text.at }}-argument-
#text(style: "italic", {{ text.is | str }})
#figure(alt: {{ text.alt | str }}, rect())
{% endfor %}
BEGIN-end-
"##;

fn leaves_a_mark(c: char) -> bool {
    !c.is_whitespace() && !('\u{fe00}'..='\u{fe0f}').contains(&c)
}

fn marks(text: &str) -> String {
    text.chars().filter(|c| leaves_a_mark(*c)).collect()
}

fn runs_from_right_to_left(c: char) -> bool {
    matches!(c, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefe}' | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
}

/// A text that a case file may hold and the typefaces have.
fn printable_text(random: &mut Random) -> String {
    loop {
        let mut text: String = any_text(random).chars().filter(|c| may_stand_in_a_case(*c)).collect();
        // Taking one out may put two others together.
        loop {
            let lacking: Vec<String> = unprintable(&text).into_iter().map(str::to_owned).collect();
            if lacking.is_empty() {
                break;
            }
            lacking.iter().for_each(|cluster| text = text.replace(cluster.as_str(), ""));
        }
        if text.chars().any(leaves_a_mark) {
            return text;
        }
    }
}

/// What reading does not refuse, asked of the reader itself.
fn may_stand_in_a_case(c: char) -> bool {
    if c.is_control() {
        return matches!(c, '\n' | '\t');
    }
    let text = format!("reference: \"a{c}\"\n");
    let (_, found) = unguis::case::scan(&unguis::diagnostic::SourceText::new("x.yaml", text).into());
    !found.iter().any(|one| one.rule == "hidden-character" || one.rule == "control-character")
}

fn meta(title: &str) -> PdfMeta {
    PdfMeta {
        title: title.into(),
        author: title.into(),
        keywords: vec![title.into()],
        date: demo::today(),
        ident: "one".into(),
    }
}

#[test]
fn text_in_is_text_out_on_the_page_and_in_the_pdf() {
    let templates = templates(BLOCKS);
    let typesetter = Typesetter::new();
    let folder = scratch();
    let mut random = Random(0x51ab_1e5e_ed00_0002);
    for round in 0..inputs(5_000) / 100 {
        let texts: Vec<String> = (0..100).map(|_| printable_text(&mut random)).collect();
        let title = marks(&texts[0]);
        let views: Vec<_> = texts
            .iter()
            .enumerate()
            .map(|(at, text)| json!({ "at": at, "is": text, "alt": format!("{at}|{text}") }))
            .collect();
        let view = json!({ "title": title, "texts": views });
        let source = templates.render("gp-letter/main.typ", &view).expect("the view has every key");
        let set = typesetter.typeset(&source, &meta(&title)).unwrap_or_else(|problem| panic!("{problem}"));
        let mut pieces = set.text.split("BEGIN-");
        pieces.next();
        for (at, text) in texts.iter().enumerate() {
            for place in ["paragraph", "heading", "list", "cell", "argument"] {
                let piece = pieces.next().unwrap_or_else(|| panic!("{text:?} is lost"));
                let name = format!("{at}-{place}-");
                let found = piece.strip_prefix(&name).unwrap_or_else(|| panic!("{piece:?} is not {name}"));
                let found = if place == "list" { found.replacen('•', "", 1) } else { found.to_owned() };
                let (mut found, mut expected): (Vec<char>, Vec<char>) =
                    (marks(&found).chars().collect(), marks(text).chars().collect());
                if text.chars().any(runs_from_right_to_left) {
                    found.sort_unstable();
                    expected.sort_unstable();
                }
                assert!(found == expected, "{place}: {text:?} came out as {piece:?}");
            }
        }
        if round < 10 {
            let file = folder.path().join("x.pdf");
            std::fs::write(&file, &set.pdf).expect("scratch can be written");
            let file = file.to_string_lossy();
            let info = tool("pdfinfo", &["-enc", "UTF-8", &file]);
            let line = info.lines().find(|line| line.starts_with("Title:")).expect("there is a title");
            assert_eq!(marks(line.trim_start_matches("Title:")), title);
            let said = alternative_texts(&tool("qpdf", &["--json=2", "--json-stream-data=none", &file]));
            for (at, text) in texts.iter().enumerate() {
                assert_eq!(said.get(&at.to_string()), Some(text), "alternative text");
            }
        }
        Typesetter::evict();
    }
}

/// Every `/Alt` of a PDF, by the number that stands before its bar.
fn alternative_texts(qpdf: &str) -> BTreeMap<String, String> {
    fn collect(value: &serde_json::Value, found: &mut BTreeMap<String, String>) {
        match value {
            serde_json::Value::Object(entries) => {
                for (key, value) in entries {
                    let alt =
                        value.as_str().filter(|_| key == "/Alt").and_then(|text| text.strip_prefix("u:"));
                    if let Some((at, text)) = alt.and_then(|text| text.split_once('|')) {
                        found.insert(at.to_owned(), text.to_owned());
                    }
                    collect(value, found);
                }
            }
            serde_json::Value::Array(items) => items.iter().for_each(|item| collect(item, found)),
            _ => {}
        }
    }
    let mut found = BTreeMap::new();
    collect(&serde_json::from_str(qpdf).expect("qpdf prints JSON"), &mut found);
    found
}

/// Lays out these characters, each in regular, bold and italic letters.
fn set_all(characters: &[char]) -> Result<(), TypesetError> {
    let texts: Vec<String> = characters.iter().map(|c| format!("a{c}a")).collect();
    let main = "#import \"layout.typ\": typefaces\n#set text(font: typefaces, fallback: false)\n{% for text in texts %}{{ text }} *{{ text }}* _{{ text }}_\n\n{% endfor %}";
    let view = json!({ "texts": texts });
    let source = templates(main).render("gp-letter/main.typ", &view).expect("the view has every key");
    Typesetter::new().typeset(&source, &meta("x")).map(drop)
}

/// What the early check lets pass can be set, in every style: each character of every plane.
#[test]
fn what_is_called_printable_can_be_printed() {
    let printable: Vec<char> = ('\0'..=char::MAX)
        .filter(|c| may_be_seen(*c) && may_stand_in_a_case(*c) && unprintable(&format!("a{c}a")).is_empty())
        .collect();
    assert!(printable.len() > 5_000, "{}", printable.len());
    for some in printable.chunks(500) {
        set_all(some).unwrap_or_else(|problem| panic!("{problem}"));
        Typesetter::evict();
    }
}

/// And what it stops could not be set, but for letters whose capital alone is missing.
#[test]
fn what_is_called_unprintable_cannot_be_printed() {
    let mut random = Random(0x51ab_1e5e_ed00_0003);
    let mut only_capital = Vec::new();
    let mut tried = 0;
    while tried < inputs(400) {
        let c = any_character(&mut random);
        if !may_be_seen(c) || !may_stand_in_a_case(c) || unprintable(&format!("a{c}a")).is_empty() {
            continue;
        }
        // Of an accent without a face for its letter too, Typst sets the accent alone and says nothing.
        if is_combining_mark(c) {
            continue;
        }
        tried += 1;
        match set_all(&[c]) {
            Err(TypesetError::MissingGlyphs(_)) => {}
            // The PDF standard refuses characters of private use.
            Err(TypesetError::Source(problems)) => {
                assert!(problems[0].message.contains("PDF"), "{problems:?}")
            }
            Err(other) => panic!("{c:?}: {other}"),
            Ok(()) => only_capital.push(c),
        }
    }
    Typesetter::evict();
    assert!(only_capital.iter().all(|c| c.to_uppercase().ne([*c])), "{only_capital:?} could be printed");
    assert!(only_capital.len() * 50 < tried, "{only_capital:?} of {tried}");
}

/// Leaves out the bulk of what is not assigned or has no glyph anywhere, which only takes time.
fn may_be_seen(c: char) -> bool {
    !c.is_control() && u32::from(c) < 0x2_0000
}
