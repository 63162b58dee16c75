//! HbA1c in mmol/mol (IFCC) and % (DCCT). Each function converts once; nothing here converts back.

use rust_decimal::Decimal;

use super::{Cite, sources::diabetes};
use crate::units::round_half_up;

/// % = 0.09148 × mmol/mol + 2.152.
pub const TO_PERCENT: Cite = Cite::states(&diabetes::NGSP_IFCC, "conversion equation");

/// mmol/mol = (% − 2.15) × 10.929.
pub const TO_MMOL_PER_MOL: Cite = Cite::states(&diabetes::DIABETES_UK_HBA1C, "conversion formula");

/// Slope of [`TO_PERCENT`].
const PERCENT_SLOPE: Decimal = Decimal::from_parts(9148, 0, 0, false, 5);
/// Intercept of [`TO_PERCENT`].
const PERCENT_INTERCEPT: Decimal = Decimal::from_parts(2152, 0, 0, false, 3);
/// Subtrahend of [`TO_MMOL_PER_MOL`].
const MMOL_OFFSET: Decimal = Decimal::from_parts(215, 0, 0, false, 2);
/// Factor of [`TO_MMOL_PER_MOL`].
const MMOL_FACTOR: Decimal = Decimal::from_parts(10929, 0, 0, false, 3);

/// % from mmol/mol, rounded half up to 1 decimal. Source: [`TO_PERCENT`].
pub fn percent_from_mmol_per_mol(mmol_per_mol: Decimal) -> Decimal {
    round_half_up(PERCENT_SLOPE * mmol_per_mol + PERCENT_INTERCEPT, 1)
}

/// Whole mmol/mol from %, rounded half up. Source: [`TO_MMOL_PER_MOL`].
pub fn mmol_per_mol_from_percent(percent: Decimal) -> Decimal {
    round_half_up((percent - MMOL_OFFSET) * MMOL_FACTOR, 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(text: &str) -> Decimal {
        text.parse().expect("a literal number")
    }

    #[test]
    fn one_conversion_each_way() {
        assert_eq!(mmol_per_mol_from_percent(number("7.5")), number("58"));
        assert_eq!(mmol_per_mol_from_percent(number("8.5")), number("69"));
        assert_eq!(percent_from_mmol_per_mol(number("53")), number("7.0"));
        assert_eq!(percent_from_mmol_per_mol(number("69")), number("8.5"));
    }

    /// Two neighbours share a percentage, which is why nothing is converted twice.
    #[test]
    fn a_round_trip_would_lose_a_value() {
        assert_eq!(percent_from_mmol_per_mol(number("58")), number("7.5"));
        assert_eq!(percent_from_mmol_per_mol(number("59")), number("7.5"));
        assert_eq!(percent_from_mmol_per_mol(number("60")), number("7.6"));
    }
}
