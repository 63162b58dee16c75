//! Rules on allergies, and on what the patient is told about medicines.

mod allergies_not_asked;
mod allergy_unknown;
mod brand_from_memory;
mod clot_before;
mod dressing_allergy;
mod immunosuppression;
mod interaction;
mod latex_allergy;
mod medicine_allergy_given;
mod paracetamol_unsuitable;
mod retinoid;
mod steroid_cover;

use super::Rule;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &latex_allergy::RULE,
    &medicine_allergy_given::RULE,
    &dressing_allergy::RULE,
    &paracetamol_unsuitable::RULE,
    &allergies_not_asked::RULE,
    &allergy_unknown::RULE,
    &brand_from_memory::RULE,
    &immunosuppression::RULE,
    &interaction::RULE,
    &steroid_cover::RULE,
    &retinoid::RULE,
    &clot_before::RULE,
];
