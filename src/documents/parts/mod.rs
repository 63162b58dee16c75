//! What several documents show in the same way.

pub(in crate::documents) mod actions;
pub(in crate::documents) mod dose;
pub(in crate::documents) mod earlier;
pub(in crate::documents) mod feet;
pub(in crate::documents) mod given_up;
pub(in crate::documents) mod home_care;
pub(in crate::documents) mod incidents;
pub(in crate::documents) mod numb;
pub(in crate::documents) mod on_the_day;
pub(in crate::documents) mod plain;
pub(in crate::documents) mod plan;
pub(in crate::documents) mod reader;
pub(in crate::documents) mod risks;
pub(in crate::documents) mod unknown;
pub(in crate::documents) mod visits;
