//! What several topics say of a box of the clinic's supplies.

use crate::date::Expiry;
use crate::diagnostic::Finding;
use crate::facts::Facts;

/// Points at the line of the clinic file from which an expiry came, if it did.
pub(super) fn expiry_of_the_box(
    facts: &Facts,
    supply: Option<&str>,
    expires: Expiry,
    found: Finding,
) -> Finding {
    let boxes = &facts.clinic.supplies;
    let named = supply.and_then(|key| boxes.get_key_value(key)).filter(|(_, one)| one.expires == expires);
    match named {
        Some((key, _)) => {
            found.see_in_clinic(place(key, "expires"), format!("the expiry of `{key}` stands here"))
        }
        None => found,
    }
}

/// The place of a value of a box; a key may hold points.
pub(super) fn place(key: &str, value: &str) -> crate::diagnostic::Path {
    crate::diagnostic::Path::root().key("supplies").key(key).key(value)
}
