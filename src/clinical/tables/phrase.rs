//! Where a name ends in what was typed, and what may follow it: a dose, a form, a remark.

use super::folded;

/// What may follow a name without changing which one it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rest {
    /// After a medicine: dose, form, times of day, and why or since when it is taken.
    Dose,
    /// After a condition or an allergy: side, year, what it is treated with, what happened.
    Remark,
}

/// Words that make up a dose: units, forms, numbers and times, with the abbreviations of prescriptions.
const DOSE: &[&str] = &[
    "a",
    "alternate",
    "am",
    "ampoule",
    "ampoules",
    "an",
    "and",
    "at",
    "basal",
    "bd",
    "bedtime",
    "before",
    "bid",
    "bolus",
    "both",
    "breakfast",
    "cap",
    "caplet",
    "caplets",
    "caps",
    "capsule",
    "capsules",
    "chrono",
    "coated",
    "course",
    "cr",
    "cream",
    "daily",
    "day",
    "days",
    "depot",
    "dispersible",
    "dose",
    "doses",
    "drop",
    "drops",
    "each",
    "ear",
    "ears",
    "ec",
    "effervescent",
    "enteric",
    "er",
    "evening",
    "evenings",
    "every",
    "eye",
    "eyes",
    "food",
    "fortnightly",
    "four",
    "friday",
    "g",
    "gastro-resistant",
    "gel",
    "gr",
    "gram",
    "grams",
    "half",
    "high",
    "hourly",
    "hours",
    "hydrobromide",
    "hydrochloride",
    "hcl",
    "in",
    "infusion",
    "inhaler",
    "inhalers",
    "inj",
    "injection",
    "injections",
    "iu",
    "la",
    "liquid",
    "loading",
    "long",
    "lotion",
    "low",
    "lp",
    "lunch",
    "lunchtime",
    "maintenance",
    "mane",
    "max",
    "maximum",
    "mcg",
    "meals",
    "mesilate",
    "besilate",
    "maleate",
    "mg",
    "microgram",
    "micrograms",
    "milligram",
    "milligrams",
    "ml",
    "modified",
    "monday",
    "monthly",
    "month",
    "months",
    "morning",
    "mornings",
    "mr",
    "m/r",
    "nasal",
    "nebuliser",
    "nebules",
    "needed",
    "night",
    "nightly",
    "nights",
    "nocte",
    "noon",
    "nostril",
    "nostrils",
    "od",
    "of",
    "om",
    "on",
    "once",
    "one",
    "ointment",
    "oral",
    "or",
    "patch",
    "patches",
    "pen",
    "pens",
    "pessary",
    "pm",
    "potassium",
    "prn",
    "prolonged",
    "prophylactic",
    "puff",
    "puffs",
    "pump",
    "qds",
    "qid",
    "quarter",
    "regular",
    "regularly",
    "release",
    "required",
    "retard",
    "rinse",
    "sachet",
    "sachets",
    "saturday",
    "scale",
    "short",
    "sliding",
    "sodium",
    "calcium",
    "soluble",
    "solution",
    "spoon",
    "spoonful",
    "spoonfuls",
    "spoons",
    "spray",
    "sprays",
    "sr",
    "stat",
    "succinate",
    "sulfate",
    "sulphate",
    "fumarate",
    "tartrate",
    "sunday",
    "suppositories",
    "suppository",
    "suspension",
    "syringe",
    "syrup",
    "tab",
    "tablet",
    "tablets",
    "tabs",
    "tds",
    "teatime",
    "term",
    "the",
    "three",
    "thrice",
    "thursday",
    "tid",
    "time",
    "times",
    "to",
    "topical",
    "treatment",
    "tuesday",
    "twice",
    "two",
    "unit",
    "units",
    "ug",
    "µg",
    "up",
    "variable",
    "wednesday",
    "week",
    "weekly",
    "weeks",
    "with",
    "x",
    "xl",
    "yearly",
    "allergy",
    "as",
    "mouthwash",
    "inhaled",
    "per",
    "when",
    "if",
    "necessary",
    "occasional",
    "occasionally",
];

/// Words after a condition or an allergy that say where, when and how it is treated, not which one it is.
const REMARK: &[&str] = &[
    "allergy",
    "intolerance",
    "left",
    "right",
    "both",
    "bilateral",
    "l",
    "r",
    "lt",
    "rt",
    "side",
    "sided",
    "leg",
    "legs",
    "foot",
    "feet",
    "toe",
    "toes",
    "hand",
    "hands",
    "lower",
    "limb",
    "limbs",
    "arm",
    "mild",
    "moderate",
    "severe",
    "slight",
    "stable",
    "newly",
    "new",
    "recent",
    "old",
    "longstanding",
    "disease",
    "disorder",
    "patient",
    "positive",
    "in",
    "cream",
    "ointment",
    "gel",
    "spray",
    "liquid",
    "wipes",
    "solution",
    "tablets",
    "dressing",
    "dressings",
    "plaster",
    "plasters",
    "tape",
    "gloves",
];

/// Words after which anything may stand: the name is complete.
const OPENERS: &[&str] = &[
    "for",
    "since",
    "from",
    "due",
    "because",
    "started",
    "restarted",
    "stopped",
    "paused",
    "withheld",
    "last",
    "until",
    "diagnosed",
    "dx",
    "on",
    "under",
    "treated",
    "controlled",
    "after",
    "following",
    "age",
    "aged",
    "takes",
    "taking",
    "causes",
    "caused",
    "gave",
    "gives",
    "reaction",
    "rash",
    "anaphylaxis",
    "collapse",
    "blisters",
    "itch",
    "swelling",
    "as",
    "when",
    "awaiting",
    "worse",
    "well",
    "not",
    "no",
    "via",
    "by",
];

/// Words that deny the name, right after it.
const DENIES: &[&str] = &[
    "excluded",
    "resolved",
    "cured",
    "negative",
    "ruled",
    "unlikely",
    "declined",
    "refused",
    "never",
    "query",
    "risk",
    "screening",
    "tested",
];

/// The same, where nothing else follows the name.
const DENIES_ALONE: &[&str] =
    &["no", "none", "nil", "not taken", "not known", "no longer", "no longer taken", "not any more"];

/// Words that give a condition to somebody else.
const FAMILY: &[&str] = &[
    "mother",
    "father",
    "brother",
    "sister",
    "parent",
    "parents",
    "mum",
    "dad",
    "family",
    "grandmother",
    "grandfather",
];

/// Beginnings of a text that deny all of it.
const DENIED: &[&str] = &["no", "not", "nil", "denies", "never", "family history", "fh", "fhx", "without"];

/// True if a text begins by denying what follows, or gives it to the family.
pub(super) fn is_denied(text: &str) -> bool {
    leading(text.trim(), DENIED).is_some()
}

/// Words after a comma or in brackets that are a form of their own in a table: `hydrocortisone cream`.
const FORMS: &[&str] = &[
    "cream",
    "ointment",
    "gel",
    "lotion",
    "eye drops",
    "ear drops",
    "nasal spray",
    "spray",
    "inhaler",
    "enema",
    "foam",
    "suppositories",
    "patch",
    "scalp application",
    "tablets",
];

/// The places at which a name may end, the longest first: before a blank, a bracket, a comma or a
/// slash, and before a number that is written onto the name.
pub(super) fn ends(text: &str) -> Vec<usize> {
    let mut ends = Vec::new();
    let mut before = ' ';
    for (at, c) in text.char_indices() {
        let is_break =
            c.is_whitespace() || matches!(c, '(' | ',' | ';' | ':' | '/' | '[' | '\u{2013}' | '\u{2014}');
        if at > 0 && (is_break || (c.is_ascii_digit() && before.is_alphabetic())) && !before.is_whitespace() {
            ends.push(at);
        }
        before = c;
    }
    ends.push(text.len());
    ends.reverse();
    ends
}

/// The length of the first leading word or words, with the blank after them.
pub(super) fn leading(text: &str, words: &[&str]) -> Option<usize> {
    words.iter().find_map(|word| {
        let start = text.get(..word.len())?;
        let gap = text.get(word.len()..)?;
        let blanks = gap.len() - gap.trim_start().len();
        (folded(start) == *word && blanks > 0).then_some(word.len() + blanks)
    })
}

/// Without blanks and separators at either end.
pub(super) fn trimmed(text: &str) -> &str {
    text.trim().trim_matches(|c: char| matches!(c, ',' | ';' | ':' | '-' | '\u{2013}' | '\u{2014}')).trim()
}

/// What follows a name, without the comma or dash before it.
pub(super) fn without_separator(rest: &str) -> &str {
    rest.trim()
        .trim_start_matches(|c: char| matches!(c, ',' | ';' | ':' | '-' | '\u{2013}' | '\u{2014}'))
        .trim()
}

/// Without the marks that people put between the words of a name.
pub(super) fn without_punctuation(word: &str) -> String {
    let marks = |c: char| matches!(c, ',' | ';' | ':' | '(' | ')' | '[' | ']' | '\u{2013}' | '\u{2014}');
    let words =
        word.split(|c: char| c.is_whitespace() || marks(c)).filter(|word| !word.is_empty() && *word != "-");
    words.collect::<Vec<_>>().join(" ")
}

/// The words of a form that stand in a text, as tables write them.
pub(super) fn forms(rest: &str) -> impl Iterator<Item = &'static str> {
    let words = format!(" {} ", without_punctuation(&folded(rest)));
    FORMS.iter().copied().filter(move |form| words.contains(&format!(" {form} ")))
}

impl Rest {
    /// True if this may follow a name.
    pub(super) fn may_follow(self, rest: &str) -> bool {
        let rest = folded(rest);
        let words = without_punctuation(&rest);
        if DENIES_ALONE.contains(&words.as_str()) {
            return false;
        }
        let mut each = words.split(' ');
        if each.next().is_some_and(|first| DENIES.contains(&first)) {
            return false;
        }
        match self {
            Rest::Dose => until_opened(&rest, DOSE),
            Rest::Remark => {
                !words.split(' ').any(|word| FAMILY.contains(&word)) && until_opened(&rest, REMARK)
            }
        }
    }
}

/// Known words, up to a number, a bracket, a comma or a word after which anything may stand.
fn until_opened(rest: &str, known: &[&str]) -> bool {
    for token in rest.split_whitespace() {
        if token.starts_with(['(', '[', ',', ';', ':', '-', '\u{2013}', '\u{2014}']) {
            return true;
        }
        let word = token.trim_end_matches(['.', ',', ';', ':', ')']);
        let is_number = word
            .trim_start_matches(['~', '<', '>'])
            .starts_with(|c: char| c.is_ascii_digit() || matches!(c, '\u{bd}' | '\u{bc}' | '\u{be}'));
        if is_number || OPENERS.contains(&word) {
            return true;
        }
        if !known.contains(&word) {
            return false;
        }
        if word.len() < token.len() {
            return true;
        }
    }
    true
}
