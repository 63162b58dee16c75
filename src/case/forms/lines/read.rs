//! From a line to what it says, each with its place in the text.

use std::ops::Range;

use super::{How, LEFT_RIGHT, Line, Phrase, RIGHT_LEFT, Section, is_number};
use crate::anatomy::Toe;
use crate::case::check::shown;
use crate::case::forms::toe;
use crate::date::TimeOfDay;
use crate::units::TextValue;
use crate::words::{List, is_title, nearest};

/// One value that a line says.
#[derive(Debug, Clone)]
pub(in crate::case::forms) struct Said {
    /// Where it stands below the block, with points.
    pub(in crate::case::forms) key: String,
    /// Where the words for it stand.
    pub(in crate::case::forms) place: Range<usize>,
    /// The value.
    pub(in crate::case::forms) value: Value,
}

/// A value, by where it stands in the text.
#[derive(Debug, Clone)]
pub(in crate::case::forms) enum Value {
    /// A text.
    Text(Range<usize>),
    /// A text that stood between quotation marks.
    Quoted(Range<usize>),
    /// What the words stand for.
    Word(&'static str),
    /// Several.
    List(Vec<Range<usize>>),
}

/// What cannot be read.
#[derive(Debug)]
pub(in crate::case::forms) struct Wrong {
    pub(in crate::case::forms) place: Range<usize>,
    pub(in crate::case::forms) says: String,
    pub(in crate::case::forms) help: String,
}

/// What a line says. `known` are the keys of the block that hold a single value: each may lead its value.
pub(in crate::case::forms) fn read(line: &Line, text: &str, known: &[&str]) -> Result<Vec<Said>, Wrong> {
    let mut reader = Reader { line, text, known, said: Vec::new(), toes: None };
    let has_sections = !line.sections.is_empty() || line.toes.is_some();
    match has_sections {
        true => {
            for part in parts(text, 0..text.len(), ';') {
                reader.section(part)?;
            }
        }
        false => reader.phrases(0..text.len())?,
    }
    let mut said = reader.said;
    if let (Some(place), Some(key)) = (reader.toes, line.toes) {
        said.push(Said { key: key.to_owned(), place: place.clone(), value: Value::Text(place) });
    }
    for (at, one) in said.iter().enumerate() {
        if said[..at].iter().any(|before| before.key == one.key) {
            return Err(Wrong {
                place: one.place.clone(),
                says: format!("`{}` says `{}` a second time", shown(&text[one.place.clone()]), one.key),
                help: "keep the right one and take the other out".to_owned(),
            });
        }
    }
    Ok(said)
}

struct Reader<'t> {
    line: &'t Line,
    text: &'t str,
    known: &'t [&'t str],
    said: Vec<Said>,
    /// The parts of toes so far, one behind another.
    toes: Option<Range<usize>>,
}

impl Reader<'_> {
    fn section(&mut self, part: Range<usize>) -> Result<(), Wrong> {
        let text = &self.text[part.clone()];
        if text.is_empty() {
            return Err(self.wrong(
                part,
                "nothing stands between two semicolons",
                "take one of them out".into(),
            ));
        }
        if let Some(key) = self.line.toes
            && let Some((toe, rest)) = toe_at(text)
        {
            let rest = part.start + rest..part.end;
            if key.is_empty() {
                let place = part.start..rest.start;
                let rest = trimmed(self.text, rest);
                self.said.push(Said { key: toe.code().to_owned(), place, value: Value::Text(rest) });
                return Ok(());
            }
            match &mut self.toes {
                None => self.toes = Some(part),
                Some(toes) if self.text[toes.end..part.start].trim() == ";" => toes.end = part.end,
                Some(_) => {
                    let says = format!("`{}` stands apart from the other toes", shown(text));
                    return Err(self.wrong(part, &says, "put all toes one behind another".into()));
                }
            }
            return Ok(());
        }
        for (leads, is_left_first) in [(RIGHT_LEFT, false), (LEFT_RIGHT, true)] {
            let rest = leads.iter().find_map(|lead| behind(text, lead));
            if let Some(rest) = rest.filter(|_| !self.line.pairs.is_empty()) {
                return self.pairs(part.start + rest..part.end, is_left_first);
            }
        }
        for section in self.line.sections {
            // The longest of them: `both feet` before `both`.
            let Some(rest) = section.leads.iter().filter_map(|lead| behind(text, lead)).max() else {
                continue;
            };
            let rest = part.start + rest..part.end;
            if let Some(inside) = section.inside {
                return self.inside(inside, section, rest);
            }
            for key in section.keys {
                let (key, place) = ((*key).to_owned(), part.clone());
                self.said.push(Said { key, place, value: Value::Text(rest.clone()) });
            }
            return Ok(());
        }
        if !self.line.phrases.is_empty() {
            return self.phrases(part);
        }
        if let Some(key) = self.line.rest {
            if self.said.iter().any(|said| said.key == key) {
                let says = format!("`{}` could belong to the text before it, or be another", shown(text));
                return Err(self.wrong(
                    part,
                    &says,
                    format!("write a comma for the semicolon, or a block with `{key}`"),
                ));
            }
            let value = match unquoted(self.text, part.clone()) {
                Some(inside) => Value::Quoted(inside),
                None => Value::Text(part.clone()),
            };
            self.said.push(Said { key: key.to_owned(), place: part, value });
            return Ok(());
        }
        let says = format!("`{}` does not begin with a toe", shown(text));
        let help = match self.line.toes {
            Some(_) => "begin with the toe: `L1 lateral, …`, and part toes by a semicolon".to_owned(),
            None => {
                let leads = self.line.sections.iter().filter_map(|section| section.leads.first());
                let pairs = RIGHT_LEFT.first().filter(|_| !self.line.pairs.is_empty());
                format!("begin with {}", List::or(leads.chain(pairs).map(|lead| format!("`{lead}`"))))
            }
        };
        let says =
            if self.line.toes.is_some() { says } else { format!("`{}` says nothing here", shown(text)) };
        Err(self.wrong(part, &says, help))
    }

    /// What another line says of each key of a section.
    fn inside(&mut self, line: &Line, section: &Section, part: Range<usize>) -> Result<(), Wrong> {
        let value = &self.text[part.clone()];
        if is_number(value) && value.contains('/') {
            let (value, lead) = (shown(value), section.leads.first().copied().unwrap_or_default());
            let says = format!("`{value}` does not say which side comes first");
            let help = format!("write `R/L {lead} {value}` or `L/R {lead} {value}`");
            return Err(self.wrong(part, &says, help));
        }
        let mut reader = Reader { line, text: self.text, known: &[], said: Vec::new(), toes: None };
        reader.phrases(part)?;
        for key in section.keys {
            let below = |one: &Said| Said { key: format!("{key}.{}", one.key), ..one.clone() };
            self.said.extend(reader.said.iter().map(below));
        }
        Ok(())
    }

    /// `arms 134/130, DP 136/134`.
    fn pairs(&mut self, whole: Range<usize>, is_left_first: bool) -> Result<(), Wrong> {
        let pairs = self.line.pairs;
        for piece in parts(self.text, whole, ',') {
            let text = &self.text[piece.clone()];
            let found = pairs.iter().find_map(|pair| {
                let rest = pair.leads.iter().filter_map(|lead| behind(text, lead)).max()?;
                Some((pair, piece.start + rest..piece.end))
            });
            let Some((pair, rest)) = found else {
                let says = format!("`{}` says nothing that can stand here", shown(text));
                let leads = pairs.iter().filter_map(|pair| pair.leads.first());
                let like = List::or(leads.map(|lead| format!("`{lead} …/…`")));
                let help = format!(
                    "write {like}; what is not of both sides stands behind a semicolon: `R …`, `L …`"
                );
                return Err(self.wrong(piece, &says, help));
            };
            let [one, other] = parts(self.text, rest.clone(), '/')
                .try_into()
                .ok()
                .filter(|both: &[Range<usize>; 2]| both.iter().all(|side| !side.is_empty()))
                .ok_or_else(|| {
                    let lead = pair.leads[0];
                    let says = format!("`{}` does not say one value of each side", shown(text));
                    self.wrong(
                        piece.clone(),
                        &says,
                        format!("write `{lead} …/…`, or `R {lead} …` behind a semicolon"),
                    )
                })?;
            let keys = if is_left_first { [pair.keys[1], pair.keys[0]] } else { pair.keys };
            for (key, value) in keys.into_iter().zip([one, other]) {
                self.said.push(Said { key: key.to_owned(), place: piece.clone(), value: Value::Text(value) });
            }
        }
        Ok(())
    }

    fn phrases(&mut self, whole: Range<usize>) -> Result<(), Wrong> {
        let pieces = parts(self.text, whole, ',');
        let mut at = 0;
        while let Some(piece) = pieces.get(at) {
            at += self.phrase(piece.clone(), &pieces[at..], at)?;
        }
        Ok(())
    }

    /// How many pieces were taken.
    fn phrase(&mut self, piece: Range<usize>, pieces: &[Range<usize>], at: usize) -> Result<usize, Wrong> {
        let text = &self.text[piece.clone()];
        if text.is_empty() {
            return Err(self.wrong(
                piece,
                "nothing stands between two commas",
                "take one of them out".into(),
            ));
        }
        let mut found: Vec<(&Phrase, Vec<Said>, usize)> = Vec::new();
        for phrase in self.line.phrases {
            if let Some((said, taken)) = self.says(phrase, piece.clone(), pieces, at)? {
                found.push((phrase, said, taken));
            }
        }
        if let [(one, ..), (other, ..), ..] = found.as_slice()
            && one.key != other.key
        {
            let (one, other) = (named(one.key), named(other.key));
            let says = format!("`{}` could be the {one} or the {other}", shown(text));
            let help = format!("write `{one} {}` or `{other} {}`", shown(text), shown(text));
            return Err(self.wrong(piece, &says, help));
        }
        if let Some((_, said, taken)) = found.into_iter().next() {
            self.said.extend(said);
            return Ok(taken);
        }
        for key in self.known {
            if let Some(rest) = behind(text, &named(key)) {
                let value = self.value(piece.start + rest..piece.end);
                self.said.push(Said { key: (*key).to_owned(), place: piece, value });
                return Ok(1);
            }
        }
        if let Some(run) = self.run(&piece) {
            for one in run {
                self.phrase(one.clone(), std::slice::from_ref(&one), 1)?;
            }
            return Ok(1);
        }
        Err(self.unknown(piece, at))
    }

    /// Phrases of fixed words one behind another without a comma: `lateral PNA`. Nothing if they could be parted in
    /// two ways, or where one denies: what follows could be denied as well.
    fn run(&self, piece: &Range<usize>) -> Option<Vec<Range<usize>>> {
        const MOST: usize = 8;
        let words = words(self.text, piece.clone());
        let denies =
            |word: &Range<usize>| matches!(self.text[word.clone()].to_lowercase().as_str(), "no" | "not");
        if !(2..=MOST).contains(&words.len()) || words.iter().any(denies) {
            return None;
        }
        let is_closed = |place: &Range<usize>| {
            let fixed = self.line.phrases.iter();
            let mut fixed = fixed.filter(|phrase| matches!(phrase.how, How::Words(_) | How::Like(..)));
            fixed.any(|phrase| {
                matches!(self.says(phrase, place.clone(), std::slice::from_ref(place), 1), Ok(Some(_)))
            })
        };
        // Every way to part the words, each word closing a phrase or not.
        let mut found = None;
        for ways in 1..1_usize << (words.len() - 1) {
            let mut run = Vec::new();
            let mut start = 0;
            for last in 0..words.len() {
                if last + 1 == words.len() || ways >> last & 1 == 1 {
                    run.push(words[start].start..words[last].end);
                    start = last + 1;
                }
            }
            if run.iter().all(is_closed) && found.replace(run).is_some() {
                return None;
            }
        }
        found
    }

    /// What a phrase says, if it is this one.
    fn says(
        &self,
        phrase: &Phrase,
        piece: Range<usize>,
        pieces: &[Range<usize>],
        at: usize,
    ) -> Result<Option<(Vec<Said>, usize)>, Wrong> {
        let text = &self.text[piece.clone()];
        let said = |key: &str, value: Value| Said { key: key.to_owned(), place: piece.clone(), value };
        let one = |value: Value| Ok(Some((vec![said(phrase.key, value)], 1)));
        // The longest of them: `NHS number` before `NHS`.
        let led = |leads: &[&str]| {
            leads.iter().filter_map(|lead| behind(text, lead)).max().map(|rest| piece.start + rest..piece.end)
        };
        match &phrase.how {
            How::Words(words) => match words.iter().find(|(word, _)| same(word, text)) {
                Some((_, word)) => one(Value::Word(word)),
                None => Ok(None),
            },
            How::Led(leads) => match led(leads) {
                Some(rest) => one(self.value(rest)),
                None => Ok(None),
            },
            How::List(leads) => match led(leads) {
                Some(rest) => one(self.list(rest)?),
                None => Ok(None),
            },
            How::Like(is_like, leads) => match led(leads) {
                Some(rest) => one(self.value(rest)),
                None if is_like(text) => one(Value::Text(piece.clone())),
                None => Ok(None),
            },
            How::LedLike(leads, is_like) => match led(leads) {
                Some(rest) if is_like(&self.text[rest.clone()]) => one(self.value(rest)),
                _ => Ok(None),
            },
            How::FromTo(other) => {
                let parted = [" to ", " until ", "–", "-"].iter().find_map(|by| {
                    let from = text.find(by)?;
                    Some((from, from + by.len()))
                });
                let Some((end, start)) = parted else { return Ok(None) };
                let looks = |text: &str| {
                    let text = text.trim();
                    !text.is_empty()
                        && text.len() <= 8
                        && text.starts_with(|c: char| c.is_ascii_digit())
                        && text.chars().all(|c| c.is_ascii_digit() || ":. apmAPM".contains(c))
                };
                if !looks(&text[..end]) || !looks(&text[start..]) {
                    return Ok(None);
                }
                let from = trimmed(self.text, piece.start..piece.start + end);
                let to = trimmed(self.text, piece.start + start..piece.end);
                Ok(Some((vec![said(phrase.key, Value::Text(from)), said(other, Value::Text(to))], 1)))
            }
            How::Dated(other, words) => {
                let Some(rest) = led(words) else { return Ok(None) };
                let word = trimmed(self.text, piece.start..rest.start);
                Ok(Some((vec![said(phrase.key, Value::Text(word)), said(other, self.value(rest))], 1)))
            }
            How::SaidOn(other, words) => {
                let found = words.iter().filter_map(|(lead, word)| Some((behind(text, lead)?, *word)));
                let Some((rest, word)) = found.max() else { return Ok(None) };
                let on = piece.start + rest..piece.end;
                Ok(Some((vec![said(phrase.key, Value::Word(word)), said(other, self.value(on))], 1)))
            }
            How::Begins(leads) => match led(leads) {
                Some(_) => one(Value::Text(piece.clone())),
                None => Ok(None),
            },
            How::Both(leads, keys) => {
                let end = leads.iter().filter_map(|lead| {
                    let start = text.len().checked_sub(lead.len())?;
                    let is_end = text.is_char_boundary(start)
                        && text[start..].eq_ignore_ascii_case(lead)
                        && text[..start].ends_with(' ');
                    is_end.then(|| trimmed(self.text, piece.start..piece.start + start))
                });
                let end = end.min_by_key(|rest| rest.end);
                match led(leads).or(end) {
                    Some(rest) => {
                        Ok(Some((keys.iter().map(|key| said(key, Value::Text(rest.clone()))).collect(), 1)))
                    }
                    None => Ok(None),
                }
            }
            How::Name => {
                if at > 0 || self.is_another(piece.clone(), pieces) {
                    return Ok(None);
                }
                self.name(piece).map(|said| Some((said, 1)))
            }
            How::Address => {
                let ends = pieces.iter().position(|piece| is_postcode(&self.text[piece.clone()]));
                let ends = ends.filter(|last| *last > 0);
                let led = led(&["at", "lives at", "address"]);
                let rest = match (&led, ends) {
                    (Some(rest), _) => rest.clone(),
                    (None, Some(last)) if self.is_address(&pieces[..last]) => piece.clone(),
                    (None, _) => return Ok(None),
                };
                let Some(last) = ends else {
                    return Err(self.wrong(
                        piece,
                        "an address in one line ends with its postcode, and none is here",
                        "write the postcode behind a comma, or `address` in a block".to_owned(),
                    ));
                };
                let lines = std::iter::once(rest).chain(pieces[1..=last].iter().cloned()).collect();
                let place = piece.start..pieces[last].end;
                Ok(Some((
                    vec![Said { key: phrase.key.to_owned(), place, value: Value::List(lines) }],
                    last + 1,
                )))
            }
            How::Injected => {
                let text = led(&["injected"]).unwrap_or(piece.clone());
                let words = &self.text[text.clone()];
                let small = words.to_lowercase();
                if !is_volume(&small) {
                    return Ok(None);
                }
                let is_one = !words.contains('+') && !small.contains(" and ");
                match volume_and_time(words).filter(|_| is_one) {
                    Some((end, start)) if TimeOfDay::parse(words[start..].trim()).is_ok() => {
                        let volume = trimmed(self.text, text.start..text.start + end);
                        let time = trimmed(self.text, text.start + start..text.end);
                        Ok(Some((
                            vec![said(phrase.key, Value::Text(volume)), said("at", Value::Text(time))],
                            1,
                        )))
                    }
                    _ => one(Value::Text(text)),
                }
            }
        }
    }

    /// Pieces before a postcode that can be nothing but the lines of an address: the first begins with the number of
    /// a house and a name, the others with no number, and none of them says anything else.
    fn is_address(&self, lines: &[Range<usize>]) -> bool {
        let Some((first, others)) = lines.split_first() else { return false };
        let is_free = |line: &Range<usize>| !is_taken(self.line, self.known, &self.text[line.clone()]);
        is_street(&self.text[first.clone()])
            && is_free(first)
            && others.iter().all(|line| !is_number(&self.text[line.clone()]) && is_free(line))
    }

    /// Some other phrase takes it.
    fn is_another(&self, piece: Range<usize>, pieces: &[Range<usize>]) -> bool {
        let others = self.line.phrases.iter().filter(|phrase| !matches!(phrase.how, How::Name));
        let text = &self.text[piece.clone()];
        let is_led = self.known.iter().any(|key| behind(text, &named(key)).is_some());
        is_led
            || others
                .into_iter()
                .any(|phrase| !matches!(self.says(phrase, piece.clone(), pieces, 1), Ok(None)))
    }

    fn name(&self, piece: Range<usize>) -> Result<Vec<Said>, Wrong> {
        let text = &self.text[piece.clone()];
        let mut words = words(self.text, piece.clone());
        let mut said = Vec::new();
        if let Some(first) = words.first().cloned()
            && is_title(&self.text[first.clone()])
        {
            said.push(Said { key: "title".to_owned(), place: first.clone(), value: Value::Text(first) });
            words.remove(0);
        }
        match words.as_slice() {
            [given, family] => {
                for (key, word) in [("given", given), ("family", family)] {
                    said.push(Said {
                        key: key.to_owned(),
                        place: word.clone(),
                        value: Value::Text(word.clone()),
                    });
                }
                Ok(said)
            }
            [first, .., last] => {
                let names = &self.text[first.start..last.end];
                let (one, rest) = (&self.text[first.clone()], self.text[first.end..last.end].trim());
                let (most, end) = (self.text[first.start..last.start].trim(), &self.text[last.clone()]);
                Err(self.wrong(
                    piece,
                    &format!("`{}` could have one given name or several", shown(names)),
                    format!("write `given {one}, family {rest}` or `given {most}, family {end}`"),
                ))
            }
            _ => Err(self.wrong(
                piece,
                &format!("`{}` is no given name with a family name", shown(text)),
                "begin with the name: `Ms Imogen Hollis, …`, or `given …, family …`".to_owned(),
            )),
        }
    }

    fn value(&self, rest: Range<usize>) -> Value {
        match unquoted(self.text, rest.clone()) {
            Some(inside) => Value::Quoted(inside),
            None => Value::Text(rest),
        }
    }

    fn list(&self, rest: Range<usize>) -> Result<Value, Wrong> {
        if let Some(inside) = unquoted(self.text, rest.clone()) {
            return Ok(Value::List(vec![inside]));
        }
        let items = parts(self.text, rest.clone(), '+');
        for item in &items {
            let text = &self.text[item.clone()];
            if let Some((one, other)) = text.split_once(" and ") {
                return Err(self.wrong(
                    item.clone(),
                    &format!("`{}` could be one entry or two", shown(text)),
                    format!("write `{one} + {other}` if they are two, or `\"{text}\"` if it is one"),
                ));
            }
            if text.is_empty() {
                return Err(self.wrong(rest, "nothing stands beside a `+`", "take it out".to_owned()));
            }
        }
        // A single one may be a word for all: the form of the list says what it means.
        match items.as_slice() {
            [one] => Ok(Value::Text(one.clone())),
            _ => Ok(Value::List(items)),
        }
    }

    fn unknown(&self, piece: Range<usize>, at: usize) -> Wrong {
        let text = &self.text[piece.clone()];
        let all = self.line.says();
        let words = self.line.phrases.iter().flat_map(|phrase| match &phrase.how {
            How::Words(known) => known.iter().map(|(word, _)| *word).collect(),
            _ => Vec::new(),
        });
        let words: Vec<&str> = words.collect();
        if self.line.mark == "checks" && text.to_lowercase().starts_with("all") {
            let says = format!("`{}` does not say which: each check is named", shown(text));
            return self.wrong(piece, &says, format!("write those that were made: {}", List::or(all)));
        }
        let help = match nearest(&text.to_lowercase(), words.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None if at > 0 => format!(
                "write {}; a comma ends a text: one that goes on stands in quotation marks",
                List::or(all)
            ),
            None => format!("write {}", List::or(all)),
        };
        self.wrong(piece, &format!("`{}` says nothing that can stand here", shown(text)), help)
    }

    fn wrong(&self, place: Range<usize>, says: &str, help: String) -> Wrong {
        // Nothing cannot be pointed at.
        let place = if place.is_empty() { 0..self.text.len() } else { place };
        Wrong { place, says: says.to_owned(), help }
    }
}

/// Whether a text, standing alone, says anything in a line but an address or a name.
pub(super) fn is_taken(line: &Line, known: &[&str], text: &str) -> bool {
    let reader = Reader { line, text, known, said: Vec::new(), toes: None };
    let others = line.phrases.iter().filter(|phrase| !matches!(phrase.how, How::Name | How::Address));
    let whole = 0..text.len();
    known.iter().any(|key| behind(text, &named(key)).is_some())
        || others.into_iter().any(|phrase| {
            !matches!(reader.says(phrase, whole.clone(), std::slice::from_ref(&whole), 1), Ok(None))
        })
}

/// The number of a house and a name: `4 Tern Row`, `12a High Street`.
pub(super) fn is_street(text: &str) -> bool {
    let Some((number, name)) = text.split_once(' ') else { return false };
    let digits = number.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    (1..=4).contains(&digits.len())
        && digits.bytes().all(|byte| byte.is_ascii_digit())
        && number.len() - digits.len() <= 1
        && name.starts_with(|c: char| c.is_uppercase())
        && name.chars().any(char::is_lowercase)
}

/// A key as words.
pub(super) fn named(key: &str) -> String {
    key.rsplit('.').next().unwrap_or(key).replace('_', " ")
}

/// The same words, whatever their capitals, hyphens, blanks and last stop. Asked for every piece of a line beside
/// every word that it could be, so nothing is built for it.
fn same(one: &str, other: &str) -> bool {
    fn plain(text: &str) -> impl Iterator<Item = char> + '_ {
        let words = text.trim().trim_end_matches('.').split(|c: char| c.is_whitespace() || is_hyphen(c));
        let words = words.filter(|word| !word.is_empty());
        words.flat_map(|word| std::iter::once(' ').chain(word.chars().flat_map(char::to_lowercase)))
    }
    plain(one).eq(plain(other))
}

fn is_hyphen(c: char) -> bool {
    matches!(c, '-' | '_')
}

/// Where the text goes on behind its first words; `None` if it begins otherwise, or ends there.
fn behind(text: &str, lead: &str) -> Option<usize> {
    let begins = text.get(..lead.len())?;
    let rest = &text[lead.len()..];
    let after = rest.strip_prefix(':').unwrap_or(rest);
    if !after.starts_with([' ', '\u{a0}']) || !same_letters(begins, lead) || after.trim().is_empty() {
        return None;
    }
    Some(text.len() - after.trim_start().len())
}

fn same_letters(one: &str, other: &str) -> bool {
    fn letters(text: &str) -> impl Iterator<Item = char> + '_ {
        text.chars().map(|c| if is_hyphen(c) { ' ' } else { c }).flat_map(char::to_lowercase)
    }
    letters(one).eq(letters(other))
}

/// What stands between quotation marks around the whole.
fn unquoted(text: &str, range: Range<usize>) -> Option<Range<usize>> {
    let inside = text[range.clone()].strip_prefix('"')?.strip_suffix('"')?;
    (!inside.is_empty() && !inside.contains('"')).then(|| range.start + 1..range.end - 1)
}

fn trimmed(text: &str, range: Range<usize>) -> Range<usize> {
    let part = &text[range.clone()];
    let start = range.start + (part.len() - part.trim_start().len());
    start..start + part.trim().len()
}

/// The parts between a sign, without those inside quotation marks or brackets.
fn parts(text: &str, range: Range<usize>, by: char) -> Vec<Range<usize>> {
    let mut parts = Vec::new();
    let (mut start, mut quoted, mut open) = (range.start, false, 0_usize);
    for (at, c) in text[range.clone()].char_indices() {
        let at = range.start + at;
        match c {
            // An inch sign or a mark inside a word opens nothing.
            '"' if quoted || text[range.start..at].ends_with([' ', ',', ';']) => quoted = !quoted,
            '(' if !quoted => open += 1,
            ')' if !quoted => open = open.saturating_sub(1),
            c if c == by && !quoted && open == 0 => {
                parts.push(trimmed(text, start..at));
                start = at + c.len_utf8();
            }
            _ => {}
        }
    }
    parts.push(trimmed(text, start..range.end));
    parts
}

fn words(text: &str, range: Range<usize>) -> Vec<Range<usize>> {
    let part = &text[range.clone()];
    part.split_whitespace()
        .map(|word| {
            let start = range.start + (word.as_ptr().addr() - part.as_ptr().addr());
            start..start + word.len()
        })
        .collect()
}

/// The toe with which a text begins, and where the text goes on.
pub(super) fn toe_at(text: &str) -> Option<(Toe, usize)> {
    let end = text.find(',').unwrap_or(text.len());
    let words = words(text, 0..end);
    (1..=words.len().min(4)).rev().find_map(|count| {
        let end = words[count - 1].end;
        let name = text[..end].trim_end_matches(':');
        let rest = &text[end..];
        let toe = toe::named(name)?;
        // `L1` alone says nothing.
        let rest = rest.trim_start_matches([' ', ',', ':']);
        (!rest.is_empty()).then(|| (toe, text.len() - rest.len()))
    })
}

fn is_volume(small: &str) -> bool {
    let rest = small.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
    rest.len() < small.len() && rest.trim_start().starts_with("ml")
}

/// Where a volume ends and its time begins: `2.2 ml at 9.35`, `2.2 ml @ 9.35`, `2.2 ml 9.35`.
fn volume_and_time(text: &str) -> Option<(usize, usize)> {
    let small = text.to_ascii_lowercase();
    let said = |by: &str| small.find(by).map(|at| (at, at + by.len()));
    let alone = || {
        let unit = small.find("ml")?;
        let end = unit + small[unit..].find(' ')?;
        small[end..].trim_start().starts_with(|c: char| c.is_ascii_digit()).then_some((end, end))
    };
    said(" at ").or_else(|| said("@")).or_else(alone)
}

/// Two or three letters with digits, and a digit with two letters, as a postcode of the United Kingdom has them.
pub(super) fn is_postcode(text: &str) -> bool {
    let Some((out, inward)) = text.trim().split_once(' ') else { return false };
    let inward: Vec<char> = inward.trim().chars().collect();
    let [digit, one, two] = inward.as_slice() else { return false };
    (2..=4).contains(&out.len())
        && out.starts_with(|c: char| c.is_ascii_uppercase())
        && out.contains(|c: char| c.is_ascii_digit())
        && out.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit())
        && digit.is_ascii_digit()
        && one.is_ascii_uppercase()
        && two.is_ascii_uppercase()
}
