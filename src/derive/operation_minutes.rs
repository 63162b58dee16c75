//! Minutes from start to finish of the operation, on one day.

use super::{Given, Unknown, Value};
use crate::clinical::Cite;

const CITE: Cite = Cite::project_default("the difference of the two recorded times");

pub(super) fn operation_minutes_of(given: Given<'_>) -> Value<i64> {
    let Some(operation) = &given.case.operation else { return Value::missing("operation") };
    let (Some(start), Some(finish)) = (operation.start.value(), operation.finish.value()) else {
        let mut unknown = Unknown::default();
        unknown.lacks("operation.start", &operation.start);
        unknown.lacks("operation.finish", &operation.finish);
        return Value::Unknown(unknown);
    };
    match start.minutes_until(finish) {
        minutes @ 0.. => Value::known(minutes, format!("from {start} to {finish}"), CITE),
        _ => Value::because(format!("the operation ends at {finish}, before it starts at {start}")),
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::example::facts_of;

    fn printed(times: &str) -> String {
        facts_of(&format!("operation: {{{times}}}")).derived.operation_minutes.print(i64::to_string)
    }

    #[test]
    fn minutes_or_the_reason_why_not() {
        assert_eq!(printed("start: '09:30', finish: '10:20'"), "50");
        assert_eq!(printed("start: '09:30', finish: '09:30'"), "0");
        assert_eq!(
            printed("start: '09:30', finish: '09:29'"),
            "not known: the operation ends at 09:29, before it starts at 09:30"
        );
        assert_eq!(printed("start: ~"), "not known: operation.start missing");
        assert_eq!(
            printed("start: {not_recorded: clock stopped}"),
            "not known: operation.start not recorded: clock stopped"
        );
        assert_eq!(printed("start: ~, finish: ~"), "not known: operation.start and operation.finish missing");
    }
}
