//! The charts of an audit are drawn where their numbers say: places are read off the page and held against
//! the axis that stands there in words.
#![expect(clippy::float_arithmetic, reason = "places on the page, not clinical numbers")]

use unguis::date::CivilDate;
use unguis::render::TypstSource;
use unguis::typeset::{Mark, MarkKind, PdfMeta, Typeset, Typesetter};

const PARTS: [(&str, &str); 3] = [
    ("layout.typ", include_str!("../../templates/layout.typ")),
    ("parts/toes.typ", include_str!("../../templates/parts/toes.typ")),
    ("parts/charts.typ", include_str!("../../templates/parts/charts.typ")),
];

/// In millimetres: half the thickest line.
const SLACK: f64 = 0.4;

fn set(chart: &str) -> Typeset {
    let source = TypstSource {
        main: format!(
            "#import \"layout.typ\": *\n#show: document-page.with(title: \"T\", kind: \"K\")\n{chart}\n"
        ),
        files: PARTS.map(|(name, text)| (name.to_owned(), text.to_owned())).to_vec(),
    };
    let meta = PdfMeta {
        title: "T".into(),
        author: "A".into(),
        keywords: Vec::new(),
        date: CivilDate::of(2026, 11, 25).expect("a literal date"),
        ident: "chart".into(),
    };
    Typesetter::new().typeset(&source, &meta).unwrap_or_else(|problem| panic!("{problem}"))
}

fn marks(set: &Typeset) -> Vec<Mark> {
    assert_eq!(set.pages, 1);
    set.marks().remove(0)
}

/// The one text that reads so.
fn word<'a>(marks: &'a [Mark], text: &str) -> &'a Mark {
    let mut found = marks.iter().filter(|mark| mark.kind == MarkKind::Text(text.into()));
    let first = found.next().unwrap_or_else(|| panic!("{text} is not printed"));
    assert!(found.next().is_none(), "{text} is printed twice");
    first
}

fn across(mark: &Mark) -> f64 {
    f64::midpoint(mark.left, mark.right)
}

fn down(mark: &Mark) -> f64 {
    f64::midpoint(mark.top, mark.bottom)
}

fn is_near(one: f64, other: f64) -> bool {
    (one - other).abs() < SLACK
}

/// A straight scale through two words and their values.
fn scale((one, at): (f64, f64), (other, at_other): (f64, f64)) -> impl Fn(f64) -> f64 {
    move |value| at + (value - one) / (other - one) * (at_other - at)
}

/// Shapes of about this width and height.
fn shapes(marks: &[Mark], width: f64, height: f64) -> Vec<&Mark> {
    let of_size = |mark: &&Mark| {
        mark.kind == MarkKind::Shape
            && is_near(mark.right - mark.left, width)
            && is_near(mark.bottom - mark.top, height)
    };
    marks.iter().filter(of_size).collect()
}

const CURVE: &str = r#"#survival-curve(
  points: ((at: "10", share: "0.75", low: "0.5", high: "0.9"), (at: "30", share: "0.25", low: "0.1", high: "0.5")),
  last: "45", until: "60", middle: "30",
  censored: ((at: "20", share: "0.75"), (at: "45", share: "0.25")),
  places: ((at: "0", label: "nought", at-risk: "8"), (at: "60", label: "sixty", at-risk: "none")),
  words: (title: "Title", axis: "Days", at-risk: "Followed"), alt: "a curve that falls",
)"#;

#[test]
fn the_curve_ends_where_nobody_is_followed_and_stands_on_its_axis() {
    let set = set(CURVE);
    let marks = marks(&set);
    let x = scale((0.0, across(word(&marks, "nought"))), (60.0, across(word(&marks, "sixty"))));
    let y = scale((0.0, down(word(&marks, "0 %"))), (100.0, down(word(&marks, "100 %"))));
    let at = |left: f64, top: f64, right: f64, bottom: f64| {
        let is_there = |mark: &&Mark| {
            mark.kind == MarkKind::Shape
                && is_near(mark.left, x(left))
                && is_near(mark.right, x(right))
                && is_near(mark.top, y(top))
                && is_near(mark.bottom, y(bottom))
        };
        marks.iter().filter(is_there).count()
    };
    assert_eq!(at(0.0, 100.0, 45.0, 25.0), 1, "the curve");
    // The band and the line around it begin with the first interval.
    assert_eq!(at(10.0, 90.0, 45.0, 10.0), 2, "the interval");
    assert_eq!(at(0.0, 50.0, 30.0, 0.0), 1, "the median");
    assert_eq!(at(0.0, 100.0, 60.0, 0.0), 1, "the axes");
    let strokes = shapes(&marks, 0.3, 2.4);
    assert_eq!(strokes.len(), 2, "one for each that was last seen");
    assert!(is_near(across(strokes[0]), x(20.0)) && is_near(down(strokes[0]), y(75.0)));
    assert!(is_near(across(strokes[1]), x(45.0)) && is_near(down(strokes[1]), y(25.0)));
    // Numbers at risk stand below their places.
    for (number, place) in [("8", "nought"), ("none", "sixty")] {
        let (number, place) = (word(&marks, number), word(&marks, place));
        assert!(is_near(across(number), across(place)) && number.top > place.bottom, "{number:?}");
    }
}

/// Two curves may stand in the same box and only one of them in steps.
#[test]
fn a_curve_is_level_until_something_happens() {
    set(r#"#import "parts/charts.typ": stairs
      #let points = ((at: "10", share: "0.75", low: ""), (at: "30", share: "0.25", low: "0.1"))
      #let corners = (("0", "1"), ("10", "1"), ("10", "0.75"), ("30", "0.75"), ("30", "0.25"), ("45", "0.25"))
      #assert.eq(stairs(points, "1", "share", "45"), corners)
      #assert.eq(stairs(points, none, "low", "45"), (("30", "0.1"), ("45", "0.1")))
      #assert.eq(stairs((), "1", "share", "45"), (("0", "1"), ("45", "1")))
      #assert.eq(stairs((), none, "low", "45"), ())"#);
}

#[test]
fn a_chart_is_told_in_its_own_words() {
    let set = set(CURVE);
    assert_eq!(set.picture_words(), ["a curve that falls"]);
    assert!(set.text.contains("[a curve that falls]"), "{}", set.text);
    assert!(!set.text.contains("75 %"), "the letters of a picture mean nothing without it: {}", set.text);
}

#[test]
fn a_curve_of_nobody_to_whom_it_happened_is_drawn() {
    let set = set(
        r#"#survival-curve(last: "7", until: "14", places: ((at: "0", label: "nought", at-risk: "1"),
      (at: "14", label: "end", at-risk: "0")), words: (curve: "all", band: "interval", middle: "median"), alt: "flat")
    #survival-curve(alt: "empty")"#,
    );
    let marks = marks(&set);
    let x = scale((0.0, across(word(&marks, "nought"))), (14.0, across(word(&marks, "end"))));
    let top = down(marks.iter().find(|mark| mark.kind == MarkKind::Text("100 %".into())).expect("a level"));
    let flat =
        |mark: &&Mark| is_near(mark.left, x(0.0)) && is_near(mark.right, x(7.0)) && is_near(down(mark), top);
    assert_eq!(marks.iter().filter(flat).count(), 1);
    // What is not drawn is not in the legend.
    word(&marks, "all");
    assert!(!set.printed()[0].contains("interval") && !set.printed()[0].contains("median"));
}

/// Eight points with a gap: two above, one on the median, three below that are marked, one above.
const MONTHS: &str = r#"#run-chart(
  points: (
    (label: "a", value: "0.3", side: "above"), (label: "b", value: "0.2", side: "on"), (label: "c", value: ""),
    (label: "d", value: "0.1", side: "below"), (label: "e", value: "0.05", side: "below"),
    (label: "f", value: "0.2", side: "on"), (label: "g", value: "0", side: "below"),
    (label: "h", value: "0.4", side: "above"),
  ),
  median: "0.2", highest: "0.4", levels: ((at: "0", label: "00"), (at: "0.4", label: "40")),
  runs: ((first: "3", last: "6", words: "marked run"),), alt: "a run chart",
)"#;

#[test]
fn points_of_a_run_chart_stand_above_their_months() {
    let set = set(MONTHS);
    let marks = marks(&set);
    let y = scale((0.0, down(word(&marks, "00"))), (0.4, down(word(&marks, "40"))));
    let line = 0.9 * 25.4 / 72.0;
    let (dots, squares) = (shapes(&marks, 1.8 + line, 1.8 + line), shapes(&marks, 2.2 + line, 2.2 + line));
    let places = |found: &[&Mark], wanted: &[(&str, f64)]| {
        assert_eq!(found.len(), wanted.len());
        for (mark, (month, value)) in found.iter().zip(wanted) {
            let is_above = is_near(across(mark), across(word(&marks, month)));
            assert!(is_above && is_near(down(mark), y(*value)), "{month}: {mark:?}");
        }
    };
    // The sizes differ by less than the slack, so each list is told by its own.
    let is_square = |mark: &&&Mark| mark.right - mark.left > 2.0 + line;
    let squares: Vec<&Mark> = squares.iter().filter(is_square).copied().collect();
    let dots: Vec<&Mark> = dots.iter().filter(|mark| !is_square(mark)).copied().collect();
    places(&dots, &[("a", 0.3), ("b", 0.2), ("h", 0.4)]);
    places(&squares, &[("d", 0.1), ("e", 0.05), ("f", 0.2), ("g", 0.0)]);
    // Half a month beyond its points on each side.
    let month = across(word(&marks, "e")) - across(word(&marks, "d"));
    let from = across(word(&marks, "d")) - month / 2.0;
    let ground = |mark: &&Mark| is_near(mark.left, from) && is_near(mark.right, from + 4.0 * month);
    assert_eq!(marks.iter().filter(ground).count(), 1);
    assert!(word(&marks, "marked run").bottom < y(0.4));
}

#[test]
fn nothing_is_drawn_over_a_gap() {
    let set = set(MONTHS);
    let marks = marks(&set);
    let (before, after) = (across(word(&marks, "b")), across(word(&marks, "d")));
    let over = |mark: &&Mark| is_near(mark.left, before) && is_near(mark.right, after);
    assert_eq!(marks.iter().filter(over).count(), 0);
    let joined = (across(word(&marks, "a")), before);
    let over = |mark: &&Mark| is_near(mark.left, joined.0) && is_near(mark.right, joined.1);
    assert_eq!(marks.iter().filter(over).count(), 1);
}

#[test]
fn a_point_above_the_axis_makes_the_axis_longer() {
    let set = set(&MONTHS.replace("highest: \"0.4\"", "highest: \"0.2\""));
    let marks = marks(&set);
    let (low, top) = (down(word(&marks, "00")), down(word(&marks, "40")));
    assert!(is_near(low - top, 52.0), "{low} {top}");
    // All at nought, and none at all.
    let nought =
        MONTHS.replace("\"0.4\"", "\"0\"").replace("0.3", "0").replace("0.2", "0").replace("0.1", "0");
    assert_eq!(self::set(&nought).pages, 1);
    assert_eq!(self::set("#run-chart(alt: \"none\")").pages, 1);
}

#[test]
fn shares_stand_in_their_rows_and_on_the_axis_below() {
    let set = set(r#"#share-chart(
      head: ([Outcome], [Clinic], [Share], [Published]), until: "0.4",
      marks: ((at: "0", label: "low"), (at: "0.4", label: "top")),
      rows: (
        (label: "One", count: "3 of 20", words: "15", share: "0.15", low: "0.05", high: "0.36", range: ("0.1", "0.2"), range-words: "x"),
        (label: "Two", count: "5 of 9", words: "56", share: "0.3", low: "0.2", high: "0.8", range: (), range-words: ""),
        (label: "Three", count: "0 of 0", words: "not known", share: "", low: "", high: "", range: (), range-words: ""),
      ), alt: "the axis",
    )"#);
    let marks = marks(&set);
    let x = scale((0.0, across(word(&marks, "low"))), (0.4, across(word(&marks, "top"))));
    let row = |name: &str| down(word(&marks, name));
    let in_row = |name: &str, left: f64, right: f64| {
        let is_there = |mark: &&Mark| {
            mark.kind == MarkKind::Shape
                && (down(mark) - row(name)).abs() < 1.0
                && is_near(mark.left, left)
                && is_near(mark.right, right)
        };
        marks.iter().filter(is_there).count()
    };
    assert_eq!(in_row("One", x(0.05), x(0.36)), 1, "the interval");
    assert_eq!(in_row("One", x(0.1), x(0.2)), 1, "what was published");
    assert_eq!(in_row("One", x(0.15) - 1.1, x(0.15) + 1.1), 1, "the share");
    // Beyond the axis: an arrow at its end, and no whisker.
    assert_eq!(in_row("Two", x(0.2), x(0.4)), 1, "the interval");
    assert_eq!(in_row("Two", x(0.4), x(0.4) + 1.4), 1, "the arrow");
    assert_eq!(in_row("Two", x(0.3) - 1.1, x(0.3) + 1.1), 1, "the share");
    let dots = shapes(&marks, 2.2 + 0.2, 2.2 + 0.2);
    assert_eq!(dots.len(), 2, "of nobody there is no share");
    assert!(set.text.contains("One\t3 of 20\t15\t\tx"), "{}", set.text);
    assert!(set.text.contains("Three\t0 of 0\tnot known"), "{}", set.text);
    assert_eq!(set.picture_words(), ["the axis"]);
}
