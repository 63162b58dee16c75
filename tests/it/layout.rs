//! How the pages are laid out, read from the laid-out pages themselves: places, not pixels.

#![expect(clippy::float_arithmetic, reason = "places on paper, not clinical numbers")]

use std::collections::BTreeMap;

use unguis::anatomy::{Side, Toe};
use unguis::date::CivilDate;
use unguis::demo;
use unguis::documents::{Audience, ChangedPhrase, DOCUMENTS, Paper, Replaces, Toes, document};
use unguis::facts::Facts;
use unguis::pipeline::{Press, Version, check};
use unguis::typeset::{Mark, MarkKind, Typeset, Typesetter};

use crate::support::first_edition;

/// Nothing is printed nearer to an edge: our default, and what office printers reach.
const EDGE: f64 = 15.0;
const WIDTH: f64 = 210.0;
const HEIGHT: f64 = 297.0;

/// The banner ends above, the footer begins below: `page-top` and `page-bottom` of the layout.
const BODY: (f64, f64) = (29.5, HEIGHT - 22.5);

/// What hangs below the last line of 18 points: its letters reach 0.293 of their size down.
const BELOW_BASELINE: f64 = 1.9;

const LAYOUT: &str = include_str!("../../templates/layout.typ");
const LOOKS: [&str; 5] = [
    LAYOUT,
    include_str!("../../templates/parts/toes.typ"),
    include_str!("../../templates/parts/charts.typ"),
    include_str!("../../templates/parts/icons.typ"),
    include_str!("../../templates/parts/easy.typ"),
];

/// Letters show no picture of the feet: they go to readers who know them.
const LETTERS: [&str; 3] = ["gp-letter", "visit-letter", "closing-letter"];

struct Set {
    case: &'static str,
    document: &'static str,
    facts: std::rc::Rc<Facts>,
    typeset: Typeset,
}

impl Set {
    fn name(&self) -> String {
        format!("{} of {}", self.document, self.case)
    }
}

fn set_all(version: &Version) -> Vec<Set> {
    let press = Press::built_in();
    let mut all = Vec::new();
    for (case, text) in demo::CASES {
        let mut checked = check(demo::source(case, text), &demo::clinic(), demo::today());
        let edition = checked.edition(version.clone(), demo::today());
        let ready = checked.ready(&[]);
        let facts = std::rc::Rc::new(checked.facts.take().unwrap_or_else(|| panic!("{case} cannot be read")));
        for paper in ready {
            let document = paper.document;
            let typeset = press
                .set(paper, &facts, &edition)
                .unwrap_or_else(|problem| panic!("{case}: {}", unguis::cli::error::chain(&problem)));
            all.push(Set { case, document: document.name, facts: facts.clone(), typeset });
        }
        Typesetter::evict();
    }
    all
}

fn first_issue() -> Version {
    Version::Issue { version: 1, replaces: None }
}

fn text_of(mark: &Mark) -> Option<&str> {
    match &mark.kind {
        MarkKind::Text(text) => Some(text),
        _ => None,
    }
}

fn middle(mark: &Mark) -> f64 {
    f64::midpoint(mark.left, mark.right)
}

/// One toe of the picture: its nail and what is hatched of it.
struct DrawnNail {
    nail: Mark,
    hatched: Vec<Mark>,
}

/// The nails that bear a name, found by the hatched fields below the names.
fn drawn(page: &[Mark]) -> BTreeMap<String, DrawnNail> {
    let is_inside = |inner: &Mark, outer: &Mark| {
        let slack = 0.5;
        inner.left >= outer.left - slack
            && inner.right <= outer.right + slack
            && inner.top >= outer.top - slack
            && inner.bottom <= outer.bottom + slack
    };
    let fields = || page.iter().filter(|mark| mark.kind == MarkKind::Field);
    let names = page.iter().filter(|mark| {
        text_of(mark).is_some_and(|text| Toe::ALL.iter().any(|toe| toe.code() == text))
            && fields().any(|field| {
                (middle(field) - middle(mark)).abs() < 4.0
                    && field.top - mark.bottom < 6.0
                    && field.top > mark.top
            })
    });
    let mut found = BTreeMap::new();
    for name in names {
        let below = |mark: &Mark| (0.0..8.0).contains(&(mark.top - name.bottom));
        let under = |mark: &&Mark| below(mark) && mark.left < middle(name) && mark.right > middle(name);
        // The smallest field around the middle that no other shape but the outline of the foot holds.
        let width = |mark: &Mark| mark.right - mark.left;
        let nail = page
            .iter()
            .filter(|mark| mark.kind == MarkKind::Shape && width(mark) > 1.5 && width(mark) < 12.0)
            .filter(under)
            .filter(|shape| fields().any(|field| is_inside(field, shape)))
            .max_by(|one, other| width(one).total_cmp(&width(other)));
        let Some(nail) = nail else { continue };
        let hatched = fields().filter(|field| is_inside(field, nail)).cloned().collect();
        found.insert(text_of(name).unwrap_or_default().to_owned(), DrawnNail { nail: nail.clone(), hatched });
    }
    found
}

/// A case with each kind of strip: one edge of a toe of each foot, both edges, a whole nail.
fn strips() -> Facts {
    let text = "reference: LFC-0001
patient: {given: Imogen, family: Hollis, born: 1984-02-09}
operation:
  date: 2026-11-24
  toes:
    R1: {nail: partial, edges: [lateral]}
    L1: {nail: partial, edges: [medial]}
    L3: {nail: partial, edges: [medial, lateral]}
    R2: {nail: total}
";
    let checked = check(demo::source("strips.yaml", text), &demo::clinic(), demo::today());
    checked.facts.unwrap_or_else(|| panic!("{:?}", checked.diagnostics))
}

#[test]
fn each_strip_is_hatched_on_its_own_side() {
    let edition = first_edition();
    for name in ["operation-note", "aftercare-leaflet"] {
        let document = document(name).expect("a document of that name");
        let set = Press::built_in().set(document, &strips(), &edition).expect("is set");
        let page = &set.marks()[0];
        let toes = drawn(page);
        let names: Vec<&str> = toes.keys().map(String::as_str).collect();
        assert_eq!(names, ["L1", "L3", "R1", "R2"], "{name}");
        let centre = |toe: &str| middle(&toes[toe].nail);
        // Left foot left, right foot right, big toes towards the middle.
        assert!(centre("L3") < centre("L1") && centre("L1") < centre("R1") && centre("R1") < centre("R2"));
        let midline = f64::midpoint(centre("L1"), centre("R1"));
        let from_midline = |mark: &Mark| (middle(mark) - midline).abs();
        let share = |toe: &str| -> Vec<f64> {
            let nail = &toes[toe].nail;
            toes[toe].hatched.iter().map(|one| (one.right - one.left) / (nail.right - nail.left)).collect()
        };
        // Lateral lies away from the midline of the body, medial towards it.
        let [lateral] = toes["R1"].hatched.as_slice() else { panic!("{name}: R1 has one strip") };
        assert!(from_midline(lateral) > from_midline(&toes["R1"].nail), "{name}: R1 lateral");
        assert!(lateral.right > toes["R1"].nail.right - 0.5, "{name}: R1 lateral reaches the outer edge");
        let [medial] = toes["L1"].hatched.as_slice() else { panic!("{name}: L1 has one strip") };
        assert!(from_midline(medial) < from_midline(&toes["L1"].nail), "{name}: L1 medial");
        assert!(medial.right > toes["L1"].nail.right - 0.5, "{name}: L1 medial reaches the inner edge");
        assert!(share("R1")[0] < 0.5 && share("L1")[0] < 0.5, "{name}: a strip is less than half");
        let [one, other] = toes["L3"].hatched.as_slice() else { panic!("{name}: L3 has two strips") };
        assert!(one.right < other.left, "{name}: something of L3 stays between its strips");
        assert!(middle(one) < centre("L3") && centre("L3") < middle(other), "{name}: one on each side");
        assert!(share("R2").len() == 1 && share("R2")[0] > 0.8, "{name}: the whole nail of R2");
    }
}

/// Names of the operated toes can be read: letters of at least 9 points are more than 2 mm tall.
#[test]
fn the_names_in_the_picture_are_large_enough_to_read() {
    let sets = set_all(&first_issue());
    for set in sets.iter().filter(|set| set.document == "operation-note") {
        let page = &set.typeset.marks()[0];
        let toes = drawn(page);
        let wanted: Vec<&str> = set.facts.operated().iter().map(|(toe, _)| toe.code()).collect();
        assert_eq!(toes.len(), wanted.len(), "{}", set.name());
        for code in wanted {
            let tall =
                page.iter().filter(|mark| text_of(mark) == Some(code)).map(|mark| mark.bottom - mark.top);
            assert!(tall.fold(0.0, f64::max) > 2.0, "{}: {code}", set.name());
            assert!(toes[code].hatched.iter().all(|strip| strip.right - strip.left > 1.0), "{}", set.name());
        }
    }
}

#[test]
fn nothing_stands_near_an_edge() {
    for version in [first_issue(), Version::Draft] {
        for set in set_all(&version) {
            for (at, page) in set.typeset.marks().iter().enumerate() {
                for mark in page {
                    assert!(
                        mark.left >= EDGE
                            && mark.right <= WIDTH - EDGE
                            && mark.top >= EDGE
                            && mark.bottom <= HEIGHT - EDGE,
                        "{}, page {}: {mark:?}",
                        set.name(),
                        at + 1
                    );
                }
            }
        }
    }
}

/// Fewer words than this on a page look like a mistake, unless somebody signs there.
const LEAST_FILLED: f64 = 0.12;

#[test]
fn no_page_is_nearly_empty() {
    for set in set_all(&first_issue()) {
        let pages = set.typeset.marks();
        for (at, page) in pages.iter().enumerate() {
            let lowest = page.iter().filter(|mark| mark.bottom < BODY.1).map(|mark| mark.bottom);
            let filled = (lowest.fold(BODY.0, f64::max) - BODY.0) / (BODY.1 - BODY.0);
            let is_signed = page
                .iter()
                .filter_map(text_of)
                .any(|text| text.contains("Signature") || text.contains("Yours sincerely"));
            assert!(
                filled >= LEAST_FILLED || is_signed,
                "{}, page {} of {}: {filled:.2} filled",
                set.name(),
                at + 1,
                pages.len()
            );
        }
    }
}

/// The body of every page stays between banner and footer.
#[test]
fn nothing_runs_into_the_footer() {
    for set in set_all(&first_issue()) {
        for (at, page) in set.typeset.marks().iter().enumerate() {
            let crossing =
                page.iter().find(|mark| mark.top < BODY.1 && mark.bottom > BODY.1 + BELOW_BASELINE);
            assert_eq!(crossing, None, "{}, page {}", set.name(), at + 1);
        }
    }
}

/// The window of a DL envelope over an A4 sheet folded in three. Common practice, no source: the
/// envelope is 110 × 220 mm, its window 35 × 90 mm, 20 mm from the left and 18 mm from the bottom
/// edge; the folded sheet of 99 × 210 mm slides in it by 11 mm and 10 mm.
mod window {
    const ENVELOPE: (f64, f64) = (220.0, 110.0);
    const WINDOW: (f64, f64) = (90.0, 35.0);
    const FROM_LEFT: f64 = 20.0;
    const FROM_BOTTOM: f64 = 18.0;
    const FOLDED: (f64, f64) = (super::WIDTH, super::HEIGHT / 3.0);
    const TOP: f64 = ENVELOPE.1 - FROM_BOTTOM - WINDOW.1;

    /// Left, top, right, bottom of what is seen wherever the sheet lies.
    pub(super) const ALWAYS: [f64; 4] = [
        FROM_LEFT,
        TOP,
        FROM_LEFT + WINDOW.0 - (ENVELOPE.0 - FOLDED.0),
        TOP + WINDOW.1 - (ENVELOPE.1 - FOLDED.1),
    ];
    /// What is seen where the sheet lies badly.
    pub(super) const EVER: [f64; 4] = [
        FROM_LEFT - (ENVELOPE.0 - FOLDED.0),
        TOP - (ENVELOPE.1 - FOLDED.1),
        FROM_LEFT + WINDOW.0,
        TOP + WINDOW.1,
    ];
}

#[test]
fn the_window_of_the_envelope_shows_the_address_and_nothing_else() {
    assert_eq!((window::ALWAYS, window::EVER), ([20.0, 57.0, 100.0, 81.0], [10.0, 46.0, 110.0, 92.0]));
    let replaces = Replaces {
        version: 1,
        issued_on: CivilDate::of(2026, 11, 24).expect("a literal date"),
        because: "batch mistyped".into(),
        changes: vec![ChangedPhrase { was: "M4417".into(), is: "M4471".into() }],
    };
    for version in [first_issue(), Version::Issue { version: 2, replaces: Some(replaces) }, Version::Draft] {
        for set in
            set_all(&version).iter().filter(|set| ["gp-letter", "visit-letter"].contains(&set.document))
        {
            let gp = set.facts.gp().expect("the letter needs one");
            let address: Vec<&String> = gp.name.iter().chain([&gp.practice]).chain(&gp.address).collect();
            let pages = set.typeset.marks();
            let [left, top, right, bottom] = window::EVER;
            let mut shown = String::new();
            let ever = pages[0].iter().filter(|mark| {
                mark.right > left && mark.left < right && mark.bottom > top && mark.top < bottom
            });
            // The mark of a draft lies behind everything.
            for mark in ever.filter(|mark| text_of(mark) != Some("DRAFT")) {
                let text = text_of(mark).unwrap_or_else(|| panic!("{}: {mark:?}", set.name()));
                let [left, top, right, bottom] = window::ALWAYS;
                assert!(
                    mark.left >= left && mark.right <= right && mark.top >= top && mark.bottom <= bottom,
                    "{}: {mark:?}",
                    set.name()
                );
                shown.push_str(text);
            }
            let squeezed = |text: &str| text.chars().filter(|c| !c.is_whitespace()).collect::<String>();
            let wanted: String = address.iter().map(|line| squeezed(line)).collect();
            assert_eq!(squeezed(&shown), wanted, "{}", set.name());
        }
    }
}

#[test]
fn every_picture_says_in_words_what_it_shows() {
    for set in set_all(&first_issue()) {
        let words = set.typeset.picture_words();
        assert!(words.iter().all(|alt| !alt.trim().is_empty()), "{}: {words:?}", set.name());
        let shown = document(set.document).expect("a document").toes;
        // Nothing is drawn of an operation that was given up before it began.
        let has_toes = shown == Toes::Planned || !set.facts.operated().is_empty();
        if LETTERS.contains(&set.document) || shown == Toes::NotShown || !has_toes {
            continue;
        }
        let Some(feet) = words.iter().find(|alt| alt.to_lowercase().contains("feet")) else {
            panic!("{}: no picture of the feet in {words:?}", set.name());
        };
        let is_for_colleagues = document(set.document).is_some_and(|one| one.audience == Audience::Clinician);
        if is_for_colleagues {
            for (toe, done) in set.facts.operated() {
                assert!(feet.contains(toe.code()), "{}: {feet}", set.name());
                assert!(done.edges.iter().all(|edge| feet.contains(edge.word())), "{}: {feet}", set.name());
            }
        } else {
            let toes: Vec<Toe> = match shown {
                Toes::Planned => set.facts.planned().iter().map(|(toe, _)| *toe).collect(),
                _ => set.facts.operated().iter().map(|(toe, _)| *toe).collect(),
            };
            for (side, word) in [(Side::Left, "left"), (Side::Right, "right")] {
                let is_meant = toes.iter().any(|toe| toe.side() == side);
                assert_eq!(feet.contains(word), is_meant, "{}: {feet}", set.name());
            }
            assert!(
                feet.contains("edge of the") || feet.contains("whole nail of the"),
                "{}: {feet}",
                set.name()
            );
        }
        if set.document == "operation-note" {
            for agent in &set.facts.derived.agents {
                let dose = agent.dose.print(ToString::to_string);
                let limit = agent.limit.print(ToString::to_string);
                let said = |alt: &String| {
                    let alt = alt.replace('\u{a0}', " ");
                    alt.contains(&format!("{dose} given")) && alt.contains(&format!("limit {limit}"))
                };
                assert!(words.iter().any(said), "{}: {dose}, {limit}: {words:?}", set.name());
            }
        }
        if set.document == "aftercare-leaflet" {
            let day = set.facts.case.operation.as_ref().expect("the leaflet needs one").date.long();
            assert!(
                words.iter().any(|alt| alt
                    .replace('\u{a0}', " ")
                    .contains(day.trim_end_matches(|c: char| c.is_ascii_digit() || c == ' '))),
                "{}: no picture names {day}: {words:?}",
                set.name()
            );
        }
    }
}

/// WCAG 2.2, success criterion 1.4.3 and its definitions of relative luminance and contrast ratio.
mod contrast {
    #[derive(Debug, Clone, Copy, PartialEq)]
    pub(super) struct Colour(pub(super) [u8; 3]);

    fn luminance(Colour(channels): Colour) -> f64 {
        let [r, g, b] = channels.map(|channel| {
            let c = f64::from(channel) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    pub(super) fn ratio(one: Colour, other: Colour) -> f64 {
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    /// `rgb("#0b4a5a")`, `luma(33%)`, `black`, `white`.
    pub(super) fn read(text: &str) -> Option<Colour> {
        let text = text.trim();
        if let Some(hex) = text.strip_prefix("rgb(\"#") {
            let byte = |at: usize| u8::from_str_radix(hex.get(at..at + 2)?, 16).ok();
            return Some(Colour([byte(0)?, byte(2)?, byte(4)?]));
        }
        if let Some(grey) = text.strip_prefix("luma(") {
            let percent: f64 = grey.split('%').next()?.parse().ok()?;
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
            let grey = (percent * 2.55).round() as u8;
            return Some(Colour([grey; 3]));
        }
        match text {
            "black" => Some(Colour([0; 3])),
            "white" => Some(Colour([255; 3])),
            _ => None,
        }
    }
}

/// The least contrast of text: WCAG 2.2, 1.4.3, level AA.
const LEAST_CONTRAST: f64 = 4.5;

/// `#let accent = rgb("#0b4a5a")` of the looks.
fn colour(name: &str) -> contrast::Colour {
    let found = LAYOUT.lines().find_map(|line| line.strip_prefix(&format!("#let {name} = ")));
    found
        .and_then(|line| contrast::read(line.split("//").next()?))
        .unwrap_or_else(|| panic!("the layout has no colour {name}"))
}

#[test]
fn every_pair_of_colours_can_be_read() {
    let read = |text: &str| contrast::read(text).expect("a colour");
    // Outside values, to two decimal places: the definition's own extreme and two well-known greys.
    for (one, wanted) in [("#000000", 21.0), ("#767676", 4.54), ("#777777", 4.48)] {
        let ratio = contrast::ratio(read(&format!("rgb(\"{one}\")")), read("white"));
        assert!((ratio - wanted).abs() < 0.005, "{one}: {ratio}");
    }
    let (black, white, draft) = (read("black"), read("white"), read("luma(95%)"));
    let (accent, tint, muted) = (colour("accent"), colour("tint"), colour("muted"));
    for (what, letters, ground) in [
        ("text", black, white),
        ("headings", accent, white),
        ("labels", muted, white),
        ("text in a box or a table head", black, tint),
        ("labels in a box", muted, tint),
        ("headings in a box", accent, tint),
        ("the mark of a draft", white, black),
        ("text over the word DRAFT", black, draft),
        ("headings over the word DRAFT", accent, draft),
        ("labels over the word DRAFT", muted, draft),
    ] {
        let ratio = contrast::ratio(letters, ground);
        assert!(ratio >= LEAST_CONTRAST, "{what}: {ratio:.2}");
    }
}

/// A colour that the test above does not know would not be tested.
#[test]
fn the_looks_use_no_other_colours() {
    const KNOWN: &[&str] = &[
        "accent",
        "tint",
        "muted",
        "black",
        "white",
        "none",
        // Handed on by a drawing: what its caller names.
        "fill",
        // As `muted`; the parts do not import the layout.
        "luma(33%)",
        // `luma(88%)`, the ground of a drawn field, with black lines around it and black text in it.
        "band",
        // `tint` in the first line of a table, else none.
        "tinted-head",
        // The word DRAFT behind the text: a ground, not a text.
        "luma(95%)",
    ];
    for looks in LOOKS {
        for (at, _) in looks.match_indices("fill: ") {
            let after = &looks[at + "fill: ".len()..];
            let end = after
                .find([',', ')', '\n'])
                .map_or(after.len(), |end| end + usize::from(&after[end..=end] == ")"));
            let mut value = after[..end].trim_end_matches([',', '\n']).trim();
            if !value.contains('(') {
                value = value.trim_end_matches(')');
            }
            // A choice names its colours: `if part > 1 { black } else { accent }`.
            for word in value.split(['{', '}']).map(str::trim) {
                let is_choice = word.is_empty()
                    || word.starts_with("if ")
                    || word.starts_with("else")
                    || word.starts_with('(');
                assert!(is_choice || KNOWN.contains(&word), "the colour `{word}` is not tested");
            }
        }
    }
    let same = |name: &str| {
        LOOKS[1..].iter().all(|part| {
            part.lines()
                .filter_map(|line| line.strip_prefix(&format!("#let {name} = ")))
                .all(|value| contrast::read(value) == Some(colour(name)))
        })
    };
    assert!(same("accent") && same("muted"), "a part has a colour of its own");
}

/// A second version in which two phrases were changed.
fn second_issue() -> Version {
    let replaces = Replaces {
        version: 1,
        issued_on: CivilDate::of(2026, 11, 24).expect("a literal date"),
        because: "the batch was mistyped".into(),
        changes: vec![
            ChangedPhrase { was: "Mepivacaine 3 % M4417".into(), is: "Mepivacaine 3 % M4471".into() },
            ChangedPhrase { was: String::new(), is: "a word that was not there".into() },
        ],
    };
    Version::Issue { version: 2, replaces: Some(replaces) }
}

/// Issue of the project: a letter that is read in thirty seconds, a note that is one sheet.
#[test]
fn a_letter_is_one_page_and_a_note_two_unless_there_is_much_to_tell() {
    for (version, is_amended) in [(first_issue(), false), (second_issue(), true)] {
        for set in set_all(&version) {
            let most = match set.document {
                // An amended letter may need a second page for its table.
                "gp-letter" if is_amended => 2,
                // What went wrong is told in full, to the practice as well.
                "gp-letter" if !set.facts.case.incidents.is_empty() => 2,
                "gp-letter" if set.facts.operated().len() > 1 => 2,
                "gp-letter" => 1,
                // So is the note of two toes or more, and of what went wrong.
                "operation-note"
                    if set.facts.operated().len() > 1 || !set.facts.case.incidents.is_empty() =>
                {
                    3
                }
                // Nor is there room left for the table where much is recorded of how somebody decides.
                "operation-note" if is_amended && set.facts.case.incidents.is_empty() => 3,
                "operation-note" => 2,
                // Half a page each, and a page with the table of an amendment.
                "visit-note" => 1,
                "visit-letter" if is_amended || set.facts.operated().len() > 1 => 2,
                "visit-letter" => 1,
                _ => continue,
            };
            assert!(set.typeset.pages <= most, "{}, amended {is_amended}: {}", set.name(), set.typeset.pages);
        }
    }
}

#[test]
fn a_signature_stands_with_what_is_signed() {
    for version in [first_issue(), second_issue(), Version::Draft] {
        for set in set_all(&version) {
            let (signature, signed) = match set.document {
                "gp-letter" => ("Yours sincerely", "ftercare leaflet."),
                "operation-note" => ("Signature of operator", "After surgery"),
                "visit-letter" => ("Yours sincerely", "Medicines"),
                "visit-note" => ("Signature of", "Next"),
                _ => continue,
            };
            let pages: Vec<&str> = set.typeset.text.split('\u{c}').collect();
            let page = pages.iter().find(|page| page.contains(signature));
            let page = page.unwrap_or_else(|| panic!("{}: no signature", set.name()));
            let words = page.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(words.contains(signed), "{}: {page}", set.name());
        }
    }
}

/// The reader of a page has never seen a case file.
#[test]
fn nothing_on_paper_names_a_key_of_the_file() {
    let nothing_known = "patient: {weight: ~, height: ~, sex: ~, nhs_number: ~}
history: ~
problem: ~
vascular: ~
sensation: ~
operation: {start: ~, finish: ~, checks: ~, instruments: ~, complications: ~,
  toes: {L1: {injected: ~, at: ~, tourniquet: {off: ~}, lavage: ~, refill: ~}}}";
    let (edition, press) = (first_edition(), Press::built_in());
    for fragment in [nothing_known, "vascular: {brachial: ~}", "patient: {height: ~}", "patient: {weight: ~}"]
    {
        let visit = "visits: [{on: 2026-11-25, kind: unplanned, toes: {L1: {infected: true}}}]";
        let facts = unguis::rules::example::facts_of(&format!("{fragment}\n{visit}"));
        for document in DOCUMENTS.iter().filter(|document| document.audience == Audience::Clinician) {
            let paper = Paper::all_of(document, &facts)[0];
            let set = press.set(paper, &facts, &edition).expect("it is set");
            for key in ["patient.", "vascular.", "operation.", "history.", "sensation."] {
                // A sentence may end with the word; a path goes on at once.
                let is_path =
                    |at: usize| set.text[at + key.len()..].starts_with(|c: char| c.is_alphanumeric());
                let is_named = set.text.match_indices(key).any(|(at, _)| is_path(at));
                assert!(!is_named, "{}: {key} in\n{}", document.name, set.text);
            }
            for word in ["missing", "`"] {
                assert!(!set.text.contains(word), "{}: {word} in\n{}", document.name, set.text);
            }
            assert!(fragment != nothing_known || set.text.contains("ot recorded"), "{}", document.name);
        }
        Typesetter::evict();
    }
}

#[test]
fn an_amended_document_says_so_on_its_first_page() {
    let because = "the batch was mistyped";
    let mut seen = std::collections::BTreeSet::new();
    for set in set_all(&second_issue()) {
        let first = set.typeset.text.split('\u{c}').next().unwrap_or_default();
        let first = first.split_whitespace().collect::<Vec<_>>().join(" ");
        let is_for_colleagues = document(set.document).is_some_and(|one| one.audience == Audience::Clinician);
        let day = if is_for_colleagues { "24-Nov-2026" } else { "24 November 2026" };
        for wanted in [
            &format!("Amended: replaces version 1 of {day}"),
            because,
            "M4417",
            "M4471",
            "a word that was not there",
        ] {
            assert!(first.contains(wanted), "{}: {wanted}: {first}", set.name());
        }
        seen.insert(set.document);
    }
    assert_eq!(seen.len(), DOCUMENTS.len());
}

#[test]
fn a_draft_is_marked_on_every_page_and_loses_no_word() {
    let (drafts, issued) = (set_all(&Version::Draft), set_all(&first_issue()));
    assert_eq!(drafts.len(), issued.len());
    for (draft, issue) in drafts.iter().zip(&issued) {
        for page in draft.typeset.marks() {
            let marks = page.iter().filter_map(text_of).filter(|text| text.contains("DRAFT")).count();
            assert!(marks >= 3, "{}: over the text, in the banner, in the footer", draft.name());
            // What is drawn last lies over the rest, where nothing can cover it; it is too light to be in the way.
            let over = page.last().and_then(text_of);
            assert_eq!(over, Some("DRAFT"), "{}: the mark could be covered", draft.name());
        }
        assert!(!issue.typeset.text.contains("DRAFT"), "{}", issue.name());
        assert_eq!(draft.typeset.pages, issue.typeset.pages, "{}", draft.name());
    }
}

/// UKAAF: in large print page numbers and labels are of the size of the text, or nearly; nothing is below 16.
#[test]
fn large_print_is_large_at_the_foot_and_at_the_head_too() {
    let sets = set_all(&first_issue());
    let large = sets.iter().filter(|set| {
        set.facts.case.patient.needs.contains(&unguis::case::Need::LargePrint)
            && document(set.document).is_some_and(|document| document.audience == Audience::Patient)
    });
    let mut pages = 0;
    for set in large {
        for page in set.typeset.marks() {
            // Noto Sans: from the top of a capital to the foot of a `g`, 0.95 of the letter size.
            let tall = |mark: &Mark| (mark.bottom - mark.top) * 72.0 / 25.4;
            let foot = page.iter().filter(|mark| text_of(mark).is_some_and(|text| text.starts_with("Page ")));
            for mark in foot {
                assert!(tall(mark) > 16.0 * 0.92, "{}: {mark:?}, {:.1} points", set.name(), tall(mark));
                pages += 1;
            }
        }
    }
    assert!(pages > 8, "only {pages} pages were looked at");
}
