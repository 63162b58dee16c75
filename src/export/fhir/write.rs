//! How a document is written down: decimals as numbers digit by digit, identifiers from hashes, base 64, text as
//! XHTML.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use std::io;

use rust_decimal::Decimal;
use serde::{Serialize, Serializer};
use serde_json::ser::Formatter;

use crate::hash::sha256;

/// Room for the scale beside the digits of a decimal.
const SCALES: i128 = 100;

/// A decimal that is written as a JSON number with its own digits: `1.00` stays `1.00`.
///
/// Binary floating point never sees it: the digits and the scale travel as one whole number of 128 bits, the
/// only one of that width here, and [`Exact`] puts the point back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Number(pub(crate) Decimal);

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_i128(self.0.mantissa() * SCALES + i128::from(self.0.scale()))
    }
}

/// Compact JSON in which a [`Number`] has its own digits.
struct Exact;

impl Formatter for Exact {
    fn write_i128<W: ?Sized + io::Write>(&mut self, writer: &mut W, value: i128) -> io::Result<()> {
        let scale = u32::try_from(value.rem_euclid(SCALES)).unwrap_or_default();
        let number = Decimal::try_from_i128_with_scale(value.div_euclid(SCALES), scale);
        write!(writer, "{}", number.map_err(io::Error::other)?)
    }
}

/// As JSON in one line, without the line end.
pub(super) fn json(value: &impl Serialize) -> String {
    let mut bytes = Vec::new();
    let mut serializer = serde_json::Serializer::with_formatter(&mut bytes, Exact);
    value.serialize(&mut serializer).expect("a document holds only texts, numbers and lists of them");
    String::from_utf8(bytes).expect("JSON is UTF-8")
}

/// The identifiers of one case: the same for the same resource of the same case in the same folder, and telling
/// nothing of the patient.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ids<'a> {
    /// The salt of the register; empty in one that an older version wrote.
    pub(super) salt: &'a str,
    /// The clinic's reference of the case.
    pub(super) reference: &'a str,
}

impl Ids<'_> {
    /// A UUID of version 8 (RFC 9562, section 5.8): its bits are a hash.
    pub(super) fn of(self, name: &str) -> String {
        let hash = sha256(format!("{}\n{}\n{name}", self.salt, self.reference).as_bytes());
        // The variant is `10` in binary, so its digit is one of four.
        let variant = match hash.as_bytes()[16] {
            b'0'..=b'3' => '8',
            b'4'..=b'7' => '9',
            b'8' | b'9' | b'a' | b'b' => 'a',
            _ => 'b',
        };
        format!(
            "{}-{}-8{}-{variant}{}-{}",
            &hash[..8],
            &hash[8..12],
            &hash[13..16],
            &hash[17..20],
            &hash[20..32]
        )
    }
}

/// Base 64 (RFC 4648, section 4), with padding and without line ends.
pub(super) fn base64(bytes: &[u8]) -> String {
    STANDARD.encode(bytes)
}

/// Text between the tags of XHTML. What a case says never acts as markup.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' => out.push_str("<br/>"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decimal_is_a_number_with_its_own_digits() {
        for digits in [
            "0.96",
            "1.00",
            "2.2",
            "66",
            "0",
            "-0.5",
            "0.1",
            "66.678084003900",
            "79228162514264337593543950335",
        ] {
            let number = Number(digits.parse().expect("a literal decimal"));
            assert_eq!(json(&number), digits);
            assert_eq!(json(&vec![Some(number)]), format!("[{digits}]"));
        }
    }

    /// RFC 4648, section 10, test vectors.
    #[test]
    fn base_64_is_that_of_the_standard() {
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
        assert_eq!(base64(&[0xff, 0xef, 0xfe]), "/+/+");
    }

    #[test]
    fn identifiers_are_those_of_the_standard_and_hang_on_all_three() {
        fn ids(salt: &str, reference: &str, name: &str) -> String {
            Ids { salt, reference }.of(name)
        }
        let one = ids("s", "LFC-0117", "patient");
        assert_eq!(one, ids("s", "LFC-0117", "patient"));
        let dashes: Vec<usize> = one.match_indices('-').map(|(at, _)| at).collect();
        assert_eq!((one.len(), dashes), (36, vec![8, 13, 18, 23]));
        for other in
            [ids("t", "LFC-0117", "patient"), ids("s", "LFC-0118", "patient"), ids("s", "LFC-0117", "gp")]
        {
            assert_ne!(one, other);
        }
        for at in 0..64 {
            let id = ids("s", "LFC-0117", &at.to_string());
            assert!(id.as_bytes()[14] == b'8' && b"89ab".contains(&id.as_bytes()[19]), "{id}");
        }
    }

    #[test]
    fn text_stays_text() {
        assert_eq!(
            escaped("<script>a && \"b\"</script>\nc"),
            "&lt;script&gt;a &amp;&amp; &quot;b&quot;&lt;/script&gt;<br/>c"
        );
    }
}
