//! What a small number gives away, and how it is hidden where a table leaves the house.
//!
//! Hiding one number is not enough, and these functions see one number at a time. Whoever lays out a table
//! that leaves the house must see to the rest:
//!
//! - A total less the rows that are shown is the row that is not. Totals are worked out from the true
//!   numbers and then put through the same rule, so rows need not add up; where exactly one row of a table
//!   is hidden and the numbers are small, a second one should be hidden with it.
//! - A percentage, an interval or a mean beside its denominator is the number in other words: with n = 40,
//!   7.5 % is 3. A share is shown only where its numerator is, and from the shown numbers nothing is worked
//!   out: a percentage of rounded numbers is right to one place only from about 4,000 upwards.
//! - Two tables of the same people, two periods that overlap, or last month's copy of this one, can be taken
//!   from each other.
//! - A survival curve, its numbers at risk and a run chart hold the single rows. They stay in the house.

use std::fmt;

use serde::Serialize;

/// How small numbers are hidden.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub(crate) struct Rule {
    /// Its name.
    pub(crate) name: &'static str,
    /// What a reader of the page must know.
    pub(crate) words: &'static str,
    /// The largest number that is hidden; 0 is not.
    pub(crate) hidden_up_to: u32,
    /// What larger numbers are rounded to.
    pub(crate) nearest: u32,
}

/// The rule of the hospital data of NHS England since September 2018.
///
/// "Change to disclosure control methodology for HES and ECDS from September 2018", digital.nhs.uk: the
/// change seen there; that it is 1 to 7 only in a copy; rounding to the nearest 5 from memory. Until then 1
/// to 5 were hidden.
pub(crate) const ONE_TO_SEVEN: Rule = Rule {
    name: "1 to 7 hidden, others to the nearest 5",
    words: "A number from 1 to 7 is shown as *. A larger number is rounded to the nearest 5. 0 is 0. \
            Totals are rounded on their own, so rows may not add up.",
    hidden_up_to: 7,
    nearest: 5,
};

/// A number as it may leave the house.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Shown {
    /// None, which is about nobody.
    Zero,
    /// Too few to be told.
    Hidden,
    /// Rounded.
    Rounded(u32),
}

impl Rule {
    /// A count of people or of what happened to them. Counts of houses or products need no rule.
    pub(crate) fn show(&self, count: u32) -> Shown {
        if count == 0 {
            return Shown::Zero;
        }
        if count <= self.hidden_up_to {
            return Shown::Hidden;
        }
        let over = count % self.nearest;
        let down = count - over;
        // At the top of the range there is no number to round up to.
        let up = down.checked_add(self.nearest).unwrap_or(down);
        Shown::Rounded(if 2 * u64::from(over) < u64::from(self.nearest) { down } else { up })
    }

    /// True if a mean or a median of so many people may be shown.
    pub(crate) fn allows_average_of(&self, people: u32) -> bool {
        people > self.hidden_up_to
    }
}

impl fmt::Display for Shown {
    /// `0`, `*`, `15`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Shown::Zero => f.write_str("0"),
            Shown::Hidden => f.write_str("*"),
            Shown::Rounded(count) => write!(f, "{count}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked out by hand from the words of the rule.
    #[test]
    fn each_step_of_the_rule() {
        for (count, shown) in [
            (0, "0"),
            (1, "*"),
            (7, "*"),
            (8, "10"),
            (9, "10"),
            (11, "10"),
            (12, "10"),
            (13, "15"),
            (17, "15"),
            (18, "20"),
            (212, "210"),
            (213, "215"),
        ] {
            assert_eq!(ONE_TO_SEVEN.show(count).to_string(), shown, "{count}");
        }
    }

    #[test]
    fn an_average_needs_eight() {
        assert!(!ONE_TO_SEVEN.allows_average_of(0));
        assert!(!ONE_TO_SEVEN.allows_average_of(7));
        assert!(ONE_TO_SEVEN.allows_average_of(8));
    }

    /// Whatever the count: hidden is 1 to 7 and nothing else, and rounding moves by 2 at most.
    #[test]
    fn nothing_small_is_shown_and_nothing_large_is_moved_far() {
        for count in (0..20_000).chain(u32::MAX - 20..=u32::MAX) {
            match ONE_TO_SEVEN.show(count) {
                Shown::Zero => assert_eq!(count, 0),
                Shown::Hidden => assert!((1..=7).contains(&count)),
                Shown::Rounded(shown) => {
                    assert!(count >= 8 && shown % 5 == 0 && shown.abs_diff(count) <= 2, "{count}: {shown}");
                }
            }
        }
    }
}
