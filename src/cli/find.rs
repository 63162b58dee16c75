//! `unguis find`: which case somebody is: by number, name, day of birth or reference. On the screen alone.

use serde_json::json;
use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use crate::case::Case;
use crate::cli::args::{Find, ListFormat};
use crate::cli::listing::{caseload, columns, csv, said_left_out};
use crate::cli::load::day;
use crate::cli::{Error, Exit, io};
use crate::date::CivilDate;
use crate::documents::outstanding::Who;
use crate::register::chain::Register;

/// Prints who answers to the words.
pub(super) fn run(args: &Find) -> Result<Exit, Error> {
    let listing = &args.listing;
    let wanted = Wanted::of(&args.words);
    if wanted.is_empty() {
        return Err(Error::Usage("name a number, a name, a day of birth or a reference".to_owned()));
    }
    let today = day(&listing.cases.reading);
    let mut found = caseload(listing, today, &Register::default(), |one| {
        wanted.fits(&one.facts.case).then(|| (Who::of(one.facts), one.file.to_owned()))
    })?;
    found.rows.sort();
    let lines: Vec<Vec<String>> = found
        .rows
        .iter()
        .map(|(who, file)| {
            let Who { reference, name, born, nhs_number, .. } = who.clone();
            vec![reference, name, born, nhs_number, file.clone()]
        })
        .collect();
    match listing.format {
        ListFormat::Human if lines.is_empty() => io::print("nobody answers to that\n"),
        ListFormat::Human => io::print(&columns(&lines)),
        ListFormat::Json => {
            let rows: Vec<_> =
                found.rows.iter().map(|(who, file)| json!({"who": who, "file": file})).collect();
            io::print(&format!("{:#}\n", json!({ "found": rows, "left_out": found.left_out })));
        }
        ListFormat::Csv => {
            let head = ["reference", "file", "name", "born", "nhs_number"];
            let shown = if listing.names { head.len() } else { 2 };
            let lines: Vec<Vec<String>> = lines
                .iter()
                .map(|line| [0, 4, 1, 2, 3].iter().take(shown).map(|at| line[*at].clone()).collect())
                .collect();
            io::print(&csv(&head[..shown], &lines));
        }
    }
    if listing.format != ListFormat::Json {
        io::eprint(&said_left_out(&found.left_out));
    }
    Ok(Exit::Done)
}

/// What is looked for.
#[derive(Debug, Default, PartialEq, Eq)]
struct Wanted {
    digits: String,
    born: Option<CivilDate>,
    reference: String,
    names: Vec<String>,
}

impl Wanted {
    fn of(words: &str) -> Wanted {
        let words = words.trim();
        let digits: String = words.chars().filter(char::is_ascii_digit).collect();
        let is_number = words.chars().all(|c| c.is_ascii_digit() || c.is_whitespace() || c == '-');
        let reference: String =
            words.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_uppercase).collect();
        Wanted {
            digits: if is_number && digits.len() == 10 { digits } else { String::new() },
            born: date_in_any_form(words),
            reference,
            names: folded(words),
        }
    }

    fn is_empty(&self) -> bool {
        self.digits.is_empty() && self.born.is_none() && self.names.is_empty()
    }

    fn fits(&self, case: &Case) -> bool {
        let patient = &case.patient;
        let numbers = [
            patient.nhs_number.as_ref().map(|number| &number.0),
            patient.chi_number.as_ref().map(|number| &number.0),
            patient.hc_number.as_ref().map(|number| &number.0),
        ];
        let names: Vec<String> = patient.names().flat_map(folded).collect();
        // Each word begins a name, so that a name that is half heard is found.
        let is_named = || self.names.iter().all(|word| names.iter().any(|name| name.starts_with(word)));
        (!self.digits.is_empty() && numbers.contains(&Some(&self.digits)))
            || self.born == Some(patient.born)
            || case.reference.as_str() == self.reference
            || (!self.names.is_empty() && is_named())
    }
}

/// The words of a name without accents, capitals and signs.
fn folded(text: &str) -> Vec<String> {
    let plain = |c: char| match c {
        'ł' => 'l',
        'ø' => 'o',
        'đ' => 'd',
        'ı' => 'i',
        other => other,
    };
    // An apostrophe or a hyphen inside a name is often left out.
    let text: String = text
        .nfd()
        .filter(|c| !is_combining_mark(*c) && !matches!(c, '\'' | '’' | '‘' | '-' | '\u{2010}' | '\u{2011}'))
        .flat_map(char::to_lowercase)
        .map(plain)
        .collect();
    text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// `1984-02-09`, `09/02/1984`, `9.2.1984`, `9 Feb 1984`, `9-February-1984`, `09021984`: day before month, as in
/// this country.
fn date_in_any_form(text: &str) -> Option<CivilDate> {
    let parts: Vec<String> = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|part| !part.is_empty())
        .map(str::to_lowercase)
        .collect();
    let number = |part: &str| part.parse::<u32>().ok();
    let month = |part: &str| {
        let names = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
        let named = || {
            let at = names.iter().position(|name| part.len() >= 3 && part.starts_with(name))?;
            u32::try_from(at + 1).ok()
        };
        number(part).or_else(named)
    };
    let of = |year: &str, month_part: &str, day: &str| {
        let year = (year.len() == 4).then(|| year.parse().ok()).flatten()?;
        let day = day.trim_end_matches(|c: char| c.is_alphabetic());
        CivilDate::of(year, month(month_part)?, number(day)?)
    };
    match parts.as_slice() {
        [year, month, day] if year.len() == 4 => of(year, month, day),
        [day, month, year] => of(year, month, day),
        [all] if all.len() == 8 && all.bytes().all(|byte| byte.is_ascii_digit()) => {
            of(&all[4..], &all[2..4], &all[..2]).or_else(|| of(&all[..4], &all[4..6], &all[6..]))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn finds(words: &str, fragment: &str) -> bool {
        Wanted::of(words).fits(&facts_of(fragment).case)
    }

    #[test]
    fn a_day_of_birth_is_read_in_any_form() {
        for text in [
            "1984-02-09",
            "09/02/1984",
            "9.2.1984",
            "9 Feb 1984",
            "9th February 1984",
            "09-Feb-1984",
            "09021984",
            "19840209",
        ] {
            assert_eq!(date_in_any_form(text), CivilDate::of(1984, 2, 9), "{text}");
        }
        for text in ["30/02/1984", "9/2/84", "February", ""] {
            assert_eq!(date_in_any_form(text), None, "{text}");
        }
    }

    #[test]
    fn somebody_is_found_by_number_name_day_of_birth_and_reference() {
        let polish = "patient: {given: Danuta, family: Żurawska-Łęcka, preferred: Danka}";
        for words in ["zurawskalecka", "danuta zuraw", "ŻURAWSKA-ŁĘCKA", "danka", "O'Nobody danuta"] {
            assert_eq!(finds(words, polish), !words.contains("Nobody"), "{words}");
        }
        for words in ["999 000 0018", "9990000018", "999-000-0018", "lfc-0001", "09/02/1984", "hollis i"] {
            assert!(finds(words, "patient: {nhs_number: 999 000 0018}"), "{words}");
        }
        for words in ["999 000 0019", "0018", "lfc-0002", "10/02/1984", "x"] {
            assert!(!finds(words, "patient: {nhs_number: 999 000 0018}"), "{words}");
        }
    }
}
