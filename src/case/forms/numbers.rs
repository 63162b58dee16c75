//! Whole numbers of a clinic file and pressures, with the unit that they can only have.

use serde_json::Value as Json;

use super::{Form, Short, case};

pub(super) const PRESSURE: Form = Form {
    name: "pressure",
    says: "a pressure in mmHg, with its unit or without",
    place: case!("vascular: {brachial: {right: …}}\n"),
    examples: &[("134 mmHg", "134"), ("134mmhg", "134")],
    refused: &[("134 kPa", "whole number from 0 to 350")],
};

pub(super) const DAYS: Form = Form {
    name: "days",
    says: "a number of days, with its unit, or in weeks",
    place: "name: Larkmoor Foot Clinic\naddress: [2 Quay Street]\ntelephone: 01632 960 100\n\
            division: scotland\npractitioners: {}\nprotocol:\n  opening_days: [monday]\n  review_days: …\n",
    examples: &[("42 days", "42"), ("6 weeks", "42")],
    refused: &[("6 months", "whole number from 7 to 365")],
};

/// The number in the unit of the key; `None` if it is anything else.
pub(super) fn read(typed: &str, key: &str, schema: &Json) -> Option<Short> {
    let split = typed.find(|c: char| !c.is_ascii_digit())?;
    let (digits, unit) = (&typed[..split], typed[split..].trim().to_lowercase());
    let number: u32 = digits.parse().ok()?;
    let is_pressure = || {
        let title = schema.get("title").and_then(Json::as_str);
        title.is_some_and(|title| title.ends_with("mmHg"))
    };
    let number = match unit.as_str() {
        "mmhg" if is_pressure() => number,
        "day" | "days" if key.ends_with("_days") => number,
        "week" | "weeks" if key.ends_with("_days") => number.checked_mul(7)?,
        "month" | "months" if key.ends_with("_months") => number,
        "min" | "mins" | "minutes" if key == "minutes" => number,
        _ => return None,
    };
    Some(Short::text(number.to_string()))
}
