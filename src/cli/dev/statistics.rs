//! `unguis dev statistics`: a list of questions as JSON in, the list of answers out, so that libraries of
//! other people can be asked the same.

use serde::Deserialize;
use serde_json::{Value as Json, json};

use crate::cli::{Error, Exit, io};
use crate::statistics::{
    Curve, Fraction, Limits, ONE_TO_SEVEN, Observation, Proportion, RunChart, Summary, log_rank, rounded,
};

/// A time, and whether it happened then.
type Followed = (u32, bool);

#[derive(Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum Question {
    /// So many of so many.
    Proportion(u32, u32),
    /// A curve, and times to ask it for.
    Survival { followed: Vec<Followed>, at: Vec<u32> },
    /// Two groups.
    LogRank(Vec<Followed>, Vec<Followed>),
    /// Numerators and denominators in order of time.
    RunChart(Vec<Option<(u32, u32)>>),
    /// The limits for so many useful points.
    Limits(u32),
    /// Whole numbers.
    Summary(Vec<u32>),
    /// A count that leaves the house.
    SmallNumber(u32),
    /// A number and how many digits.
    Rounded(f64, u32),
}

pub(super) fn run() -> Result<Exit, Error> {
    let questions: Vec<Question> = serde_json::from_str(&io::read_standard_input()?)
        .map_err(|problem| Error::Usage(format!("no list of questions: {problem}")))?;
    let answers: Vec<Json> = questions.iter().map(answer).collect();
    io::print(&format!("{}\n", Json::from(answers)));
    Ok(Exit::Done)
}

fn answer(question: &Question) -> Json {
    match question {
        Question::Proportion(count, of) => proportion(*count, *of),
        Question::Survival { followed, at } => survival(followed, at),
        Question::LogRank(first, second) => {
            json!(log_rank([&observations(first), &observations(second)]))
        }
        Question::RunChart(points) => run_chart(points),
        Question::Limits(useful) => json!(Limits::of(*useful)),
        Question::Summary(numbers) => summary(numbers),
        Question::SmallNumber(count) => json!(ONE_TO_SEVEN.show(*count).to_string()),
        Question::Rounded(value, digits) => json!(rounded(*value, *digits)),
    }
}

fn observations(followed: &[Followed]) -> Vec<Observation> {
    followed.iter().map(|&(time, is_event)| Observation { time, is_event }).collect()
}

fn proportion(count: u32, of: u32) -> Json {
    let Some(proportion) = Proportion::new(count, of) else { return Json::Null };
    json!({
        "share": proportion.share(),
        "percent_tenths": proportion.percent_tenths(),
        "wilson": proportion.wilson(),
        "upper_limit_of_none": proportion.upper_limit_of_none(),
    })
}

fn survival(followed: &[Followed], at: &[u32]) -> Json {
    let curve = Curve::of(&observations(followed));
    let (low, high) = curve.median_interval();
    json!({
        "steps": curve.steps(),
        "at": at.iter().map(|time| curve.at(*time)).collect::<Vec<_>>(),
        "at_risk": at.iter().map(|time| curve.at_risk(*time)).collect::<Vec<_>>(),
        "median": curve.median(),
        "median_interval": [low, high],
    })
}

fn run_chart(points: &[Option<(u32, u32)>]) -> Json {
    let points: Vec<_> =
        points.iter().map(|point| point.and_then(|(above, below)| Fraction::new(above, below))).collect();
    let Some(chart) = RunChart::of(&points) else { return Json::Null };
    json!({
        "median": chart.median.decimal(),
        "sides": chart.sides,
        "useful": chart.useful,
        "longest_run": chart.longest_run,
        "crossings": chart.crossings,
        "signals": chart.signals(),
        "marked": chart.marked().map(|run| [*run.start(), *run.end()]).collect::<Vec<_>>(),
    })
}

fn summary(numbers: &[u32]) -> Json {
    let Some(summary) = Summary::of(numbers) else { return Json::Null };
    let quartiles = [summary.lower_quartile, summary.median, summary.upper_quartile];
    json!({
        "count": summary.count,
        "range": [summary.least, summary.most],
        "quartiles": quartiles.map(|quartile| quartile.to_string()),
    })
}
