//! What clinics do differently in the care at home: each is printed on the patient's pages only where the
//! clinic file says it, and nothing here has a default. Where a value is not stated a page says "ask us", or
//! nothing.
//!
//! The choices are those that leaflets of UK clinics were seen to make; none was shown to be better
//! (J Foot Ankle Res 2026, doi 10.1002/jfa2.70100).

use schemars::JsonSchema;
use serde::Deserialize;

/// What the clinic tells its patients about the days after surgery.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AftercareOptions {
    /// Days of rest with the foot up, the day of surgery counted: 2 is today and tomorrow.
    #[schemars(range(min = 1, max = 7))]
    pub rest_days: Option<u8>,
    /// How the patient goes home.
    pub travel_home: Option<TravelHome>,
    /// Whether alcohol is advised against on the day of surgery.
    pub alcohol: Option<Alcohol>,
    /// Whether and when the toe may get wet.
    pub wet: Option<Wet>,
    /// What the toe is cleansed with when the dressing is changed.
    pub cleanse: Option<Cleanse>,
    /// Which sport is left until the toe is healed.
    pub sport: Option<Sport>,
    /// How often the dressing is changed at home.
    pub redress_every: Option<RedressEvery>,
    /// When dressings are no longer needed.
    pub stop_when: Option<StopWhen>,
    /// Whom the patient asks about an infection.
    pub infection_contact: Option<InfectionContact>,
    /// Whether the patient may walk barefoot at home; never with diabetes.
    pub barefoot_home: Option<bool>,
    /// Where nail varnish comes off before surgery.
    pub nail_varnish: Option<NailVarnish>,
    /// The clinic's policy on ibuprofen, naproxen and the like after surgery. Who must not take them is told so
    /// whatever it says; without a policy patients are told to ask.
    pub ibuprofen: Option<Ibuprofen>,
}

/// Whether the clinic lets its patients take ibuprofen for pain after surgery. No source was seen that speaks
/// against it after nail surgery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Ibuprofen {
    // They can make bleeding more likely: common practice, no source.
    #[serde(rename = "not advised")]
    NotAdvised,
    // A UK podiatry leaflet whose issuer is not shown; for children South Tees, Yeovil.
    #[serde(rename = "may be taken")]
    MayBeTaken,
}

/// How often the dressing is changed at home.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum RedressEvery {
    // South Tees.
    #[serde(rename = "daily")]
    Daily,
    // Common practice, no source.
    #[serde(rename = "every 2 days")]
    TwoDays,
    // Bradford.
    #[serde(rename = "every 3 days")]
    ThreeDays,
}

/// When dressings are no longer needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum StopWhen {
    // Two dressings without discharge (Bradford).
    #[serde(rename = "2 dry dressings")]
    TwoDryDressings,
    // A dressing that comes off clean (a private clinic).
    #[serde(rename = "comes off clean")]
    ComesOffClean,
    // Completely healed (South Tees, Wigan).
    #[serde(rename = "healed")]
    Healed,
}

/// Whom the patient asks about an infection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum InfectionContact {
    // The clinic (Northern Care Alliance, Worcestershire, Wigan).
    #[serde(rename = "clinic")]
    Clinic,
    // The general practice (Bradford).
    #[serde(rename = "gp")]
    Gp,
    // The general practice, or 111 (Yeovil).
    #[serde(rename = "gp or 111")]
    GpOr111,
}

/// Where nail varnish comes off before surgery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum NailVarnish {
    // North Lincolnshire and Goole.
    #[serde(rename = "off toes")]
    OffToes,
    // With acrylics, and rings off, for the probe that measures oxygen (North Tees).
    #[serde(rename = "off toes and fingers")]
    OffToesAndFingers,
}

/// How the patient goes home. No leaflet that was seen lets the patient drive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum TravelHome {
    // Driven by somebody, and not by bus or train (North Lincolnshire and Goole).
    #[serde(rename = "driven")]
    Driven,
    // In any way but as the driver (Fife).
    #[serde(rename = "not driving")]
    NotDriving,
}

/// Alcohol on the day of surgery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Alcohol {
    // None on that day (North Lincolnshire and Goole, Worcestershire).
    #[serde(rename = "none that day")]
    NoneThatDay,
}

/// Whether and when the toe may get wet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Wet {
    // No water of bath or shower until it is healed (Wigan).
    #[serde(rename = "dry until healed")]
    DryUntilHealed,
    // Dry until the first visit (Worcestershire).
    #[serde(rename = "dry until the first visit")]
    DryUntilFirstVisit,
    // Dry for two days, then a bath with the dressing on (a UK podiatry leaflet whose issuer is not shown).
    #[serde(rename = "bath with the dressing on")]
    BathWithDressingOn,
    // A shower from the first visit on; common practice, no source.
    #[serde(rename = "shower after the first visit")]
    ShowerAfterFirstVisit,
}

/// What the toe is cleansed with when the dressing is changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Cleanse {
    // Warm salt water (Wigan and others).
    #[serde(rename = "salt water")]
    SaltWater,
    // Warm tap water, only where dirt is seen (NHS Scotland, wound assessment chart, 2019).
    #[serde(rename = "tap water if dirty")]
    TapWaterIfDirty,
    // Nothing: the toe is kept dry (Bradford).
    #[serde(rename = "keep dry")]
    KeepDry,
}

/// Which sport is left until the toe is healed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Sport {
    // None at all (Wigan).
    #[serde(rename = "none until healed")]
    NoneUntilHealed,
    // No sport of contact or impact, and no swimming (Northern Care Alliance).
    #[serde(rename = "no contact sport or swimming")]
    NoContactSportOrSwimming,
}

#[cfg(test)]
mod tests {
    use crate::diagnostic::SourceText;
    use std::sync::Arc;

    /// How many findings the demo clinic has with this in place of its own options.
    fn faults(options: &str) -> usize {
        let text = include_str!("../rules/example_clinic.yaml");
        let at = text.find("  aftercare:").expect("the example clinic has options");
        let text = format!("{}  aftercare: {options}\n", &text[..at]);
        crate::case::read_clinic(Arc::new(SourceText::new("clinic.yaml", text.as_str()))).diagnostics.len()
    }

    #[test]
    fn what_no_leaflet_says_is_refused() {
        for good in [
            "{rest_days: 1}",
            "{rest_days: 7, travel_home: driven, alcohol: none that day}",
            "{wet: dry until healed, cleanse: keep dry}",
            "{sport: no contact sport or swimming}",
            "{redress_every: every 3 days, stop_when: 2 dry dressings, infection_contact: gp or 111}",
            "{barefoot_home: true, nail_varnish: off toes and fingers}",
            "{ibuprofen: not advised}",
            "{ibuprofen: may be taken}",
        ] {
            assert_eq!(faults(good), 0, "{good}");
        }
        for bad in [
            "{rest_days: 0}",
            "{rest_days: 8}",
            "{rest_days: two}",
            "{travel_home: driving}",
            "{alcohol: a little}",
            "{wet: always}",
            "{cleanse: bleach}",
            "{sport: some}",
            "{redress_every: hourly}",
            "{stop_when: next week}",
            "{infection_contact: a friend}",
            "{barefoot_home: sometimes}",
            "{nail_varnish: on}",
            "{ibuprofen: sometimes}",
            "{moonmilk: 1}",
        ] {
            assert_eq!(faults(bad), 1, "{bad}");
        }
    }
}
