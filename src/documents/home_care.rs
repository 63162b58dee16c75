//! What the clinic says about the days after surgery, for the pages that a patient takes home: each choice
//! as a passage that stands or does not. Where the clinic file is silent none of them stands, and the page
//! says "ask us" or nothing. The sentences stand in the templates.

use serde::Serialize;

use crate::case::{Alcohol, Cleanse, Sport, TravelHome, Wet};
use crate::facts::Facts;

/// The clinic's own way, as stated in its file.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one passage that stands or does not")]
pub(super) struct HomeCare {
    /// Rest for the day of surgery alone.
    pub(super) rests_today: bool,
    /// Rest for that day and the next.
    pub(super) rests_until_tomorrow: bool,
    /// The last day of a longer rest: `Thursday 26 November 2026`; empty if it is none or shorter.
    pub(super) rests_until: String,
    pub(super) is_driven_home: bool,
    pub(super) no_alcohol: bool,
    pub(super) dry_until_healed: bool,
    pub(super) dry_until_first_visit: bool,
    pub(super) bath_with_dressing_on: bool,
    pub(super) shower_after_first_visit: bool,
    pub(super) salt_water: bool,
    pub(super) tap_water_if_dirty: bool,
    pub(super) no_cleansing: bool,
    pub(super) no_sport: bool,
    pub(super) no_contact_sport: bool,
}

impl HomeCare {
    pub(super) fn of(facts: &Facts) -> HomeCare {
        let options = &facts.clinic.protocol.aftercare;
        let days = options.rest_days.map(u64::from);
        // The day of surgery is the first of them.
        let last = days.filter(|days| *days > 2).map(|days| facts.day().plus_days(days - 1));
        HomeCare {
            rests_today: days == Some(1),
            rests_until_tomorrow: days == Some(2),
            rests_until: last.map_or_else(String::new, crate::date::CivilDate::long_with_day),
            is_driven_home: options.travel_home == Some(TravelHome::Driven),
            no_alcohol: options.alcohol == Some(Alcohol::NoneThatDay),
            dry_until_healed: options.wet == Some(Wet::DryUntilHealed),
            dry_until_first_visit: options.wet == Some(Wet::DryUntilFirstVisit),
            bath_with_dressing_on: options.wet == Some(Wet::BathWithDressingOn),
            shower_after_first_visit: options.wet == Some(Wet::ShowerAfterFirstVisit),
            salt_water: options.cleanse == Some(Cleanse::SaltWater),
            tap_water_if_dirty: options.cleanse == Some(Cleanse::TapWaterIfDirty),
            no_cleansing: options.cleanse == Some(Cleanse::KeepDry),
            no_sport: options.sport == Some(Sport::NoneUntilHealed),
            no_contact_sport: options.sport == Some(Sport::NoContactSportOrSwimming),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn of(options: &str) -> HomeCare {
        HomeCare::of(&facts_of(&format!("clinic: {{protocol: {{aftercare: {options}}}}}")))
    }

    #[test]
    fn what_the_clinic_does_not_say_is_not_said() {
        assert_eq!(of("~"), HomeCare::default());
    }

    #[test]
    fn the_day_of_surgery_is_the_first_day_of_rest() {
        let of = |days: u8| {
            let care = of(&format!("{{rest_days: {days}}}"));
            (care.rests_today, care.rests_until_tomorrow, care.rests_until)
        };
        assert_eq!(of(1), (true, false, String::new()));
        assert_eq!(of(2), (false, true, String::new()));
        assert_eq!(of(3), (false, false, "Thursday 26 November 2026".to_owned()), "surgery was on the 24th");
    }

    #[test]
    fn each_choice_is_one_passage() {
        let one = |wet: &str| {
            let care = of(&format!("{{wet: {wet}}}"));
            let all = [
                care.dry_until_healed,
                care.dry_until_first_visit,
                care.bath_with_dressing_on,
                care.shower_after_first_visit,
            ];
            all.map(u8::from)
        };
        assert_eq!(one("dry until healed"), [1, 0, 0, 0]);
        assert_eq!(one("dry until the first visit"), [0, 1, 0, 0]);
        assert_eq!(one("bath with the dressing on"), [0, 0, 1, 0]);
        assert_eq!(one("shower after the first visit"), [0, 0, 0, 1]);
    }
}
