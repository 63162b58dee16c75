//! So many of so many, and how far chance could have carried it.
#![expect(clippy::float_arithmetic, reason = "statistics, no dose")]

use serde::Serialize;

use super::{Interval, Z_95};

/// So many of so many: `2` of `350`. Of none, nothing is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub(crate) struct Proportion {
    count: u32,
    of: u32,
}

impl Proportion {
    /// `None` if there are more than there can be.
    pub(crate) fn new(count: u32, of: u32) -> Option<Proportion> {
        (count <= of).then_some(Proportion { count, of })
    }

    /// How many.
    pub(crate) fn count(self) -> u32 {
        self.count
    }

    /// Of how many.
    pub(crate) fn of(self) -> u32 {
        self.of
    }

    /// Between 0 and 1; `None` of none.
    pub(crate) fn share(self) -> Option<f64> {
        (self.of > 0).then(|| f64::from(self.count) / f64::from(self.of))
    }

    /// Tenths of a percent, a half rounded up, from whole numbers alone: 1 of 16 is 6.25 %, so `63`.
    /// `None` of none.
    pub(crate) fn percent_tenths(self) -> Option<u32> {
        let (count, of) = (u64::from(self.count), u64::from(self.of));
        let tenths = (2000 * count + of).checked_div(2 * of)?;
        u32::try_from(tenths).ok()
    }

    /// The 95 % score interval, without continuity correction; `None` of none.
    ///
    /// With p = k/n: (p + z²/2n ± z √(p(1−p)/n + z²/4n²)) / (1 + z²/n). Wilson EB, J Am Stat Assoc
    /// 1927;22:209; recommended for shares near 0 or 1 by Newcombe RG, Stat Med 1998;17:857 (method 3).
    pub(crate) fn wilson(self) -> Option<Interval> {
        let share = self.share()?;
        let of = f64::from(self.of);
        let z2 = Z_95 * Z_95;
        let middle = share + z2 / (2.0 * of);
        let half_width = Z_95 * (share * (1.0 - share) / of + z2 / (4.0 * of * of)).sqrt();
        let scale = 1.0 + z2 / of;
        Some(Interval {
            // Exactly 0 and 1 at the ends, where the arithmetic would leave a crumb.
            low: if self.count == 0 { 0.0 } else { (middle - half_width) / scale },
            high: if self.count == self.of { 1.0 } else { (middle + half_width) / scale },
        })
    }

    /// The largest share that would still give none of so many in 1 of 20 tries: the exact one-sided 95 %
    /// limit 1 − 0.05^(1/n) (Clopper and Pearson, Biometrika 1934;26:404). `None` if there were any, or of
    /// none.
    ///
    /// The "rule of three", 3/n, is its approximation (Hanley and Lippman-Hand, JAMA 1983;249:1743).
    pub(crate) fn upper_limit_of_none(self) -> Option<f64> {
        (self.count == 0 && self.of > 0).then(|| 1.0 - 0.05_f64.powf(1.0 / f64::from(self.of)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::rounded;

    fn of(count: u32, of: u32) -> Proportion {
        Proportion::new(count, of).expect("not more than there are")
    }

    fn wilson(count: u32, whole: u32) -> [String; 2] {
        let Interval { low, high } = of(count, whole).wilson().expect("of some");
        [rounded(low, 4), rounded(high, 4)]
    }

    /// Counts of published series, each interval recomputed from the formula by others than this code.
    #[test]
    fn counts_of_published_series() {
        for (count, whole, low, high) in [
            // Bostanci, Acta Derm Venereol 2001;81:181, recurrence after phenol
            (2, 350, "0.0016", "0.0206"),
            // Karaca and Dereli, Ann Fam Med 2012 (PMC3495930)
            (1, 348, "0.0005", "0.0161"),
            // Gerritsma-Bleeker 2002, phenol and matrix excision, 12 months
            (7, 29, "0.1222", "0.4211"),
            (7, 34, "0.1035", "0.3680"),
            // Isik 2012, both arms
            (7, 76, "0.0453", "0.1781"),
            (2, 42, "0.0132", "0.1579"),
            // Bos, Br J Surg 2007;94:292, with phenol and without
            (8, 58, "0.0716", "0.2493"),
            (23, 59, "0.2758", "0.5173"),
            // PubMed 11353354, with phenol and without
            (3, 260, "0.0039", "0.0334"),
            (20, 109, "0.1220", "0.2665"),
            // Wong 2024, both arms
            (0, 21, "0.0000", "0.1546"),
            (1, 44, "0.0040", "0.1181"),
            // Rusmir and Salerno 2011, infection; the count derived from the percentage
            (21, 111, "0.1272", "0.2720"),
            // Silva 2024, at 3 and 6 months; the counts derived from the percentages
            (6, 802, "0.0034", "0.0162"),
            (15, 802, "0.0114", "0.0306"),
        ] {
            assert_eq!(wilson(count, whole), [low, high], "{count} of {whole}");
        }
    }

    /// Newcombe RG, Stat Med 1998;17:857, table I, method 3.
    #[test]
    fn the_rows_of_newcombe() {
        for (count, whole, low, high) in [
            (81, 263, "0.2553", "0.3662"),
            (15, 148, "0.0624", "0.1605"),
            (0, 20, "0.0000", "0.1611"),
            (1, 29, "0.0061", "0.1718"),
        ] {
            assert_eq!(wilson(count, whole), [low, high], "{count} of {whole}");
        }
    }

    /// statsmodels 0.15.0, `proportion_confint(method="wilson")`, to six places.
    #[test]
    fn six_places_of_another_library() {
        for (count, whole, low, high) in [
            (7, 50, "0.069508", "0.261862"),
            (6, 802, "0.003433", "0.016225"),
            (1, 348, "0.000507", "0.016095"),
        ] {
            let interval = of(count, whole).wilson().expect("of some");
            assert_eq!([rounded(interval.low, 6), rounded(interval.high, 6)], [low, high]);
        }
    }

    /// 0 of 21: 0.1329, where the rule of three says 3/21 = 0.143.
    #[test]
    fn none_of_some_has_an_upper_limit() {
        let limit = of(0, 21).upper_limit_of_none().expect("none of some");
        assert_eq!(rounded(limit, 4), "0.1329");
        assert!(limit < 3.0 / 21.0);
        assert_eq!(of(1, 21).upper_limit_of_none(), None);
    }

    #[test]
    fn of_none_nothing_is_known() {
        let none = of(0, 0);
        assert_eq!(none.share(), None);
        assert_eq!(none.percent_tenths(), None);
        assert_eq!(none.wilson(), None);
        assert_eq!(none.upper_limit_of_none(), None);
        assert_eq!(Proportion::new(2, 1), None);
    }

    #[test]
    fn the_ends_are_exact() {
        assert_eq!(of(0, 7).wilson().map(|interval| interval.low), Some(0.0));
        assert_eq!(of(7, 7).wilson().map(|interval| interval.high), Some(1.0));
    }

    #[test]
    fn tenths_of_a_percent_from_whole_numbers() {
        assert_eq!(of(1, 16).percent_tenths(), Some(63));
        assert_eq!(of(2, 350).percent_tenths(), Some(6));
        assert_eq!(of(1, 2000).percent_tenths(), Some(1));
        assert_eq!(of(1, 2001).percent_tenths(), Some(0));
        assert_eq!(of(u32::MAX, u32::MAX).percent_tenths(), Some(1000));
    }
}
