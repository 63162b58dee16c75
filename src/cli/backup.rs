//! `unguis backup`: a copy of the folder of issued documents, whole or not at all.

use serde_json::json;

use crate::cli::args::{Backup, ShowFormat};
use crate::cli::passed_over::some_of;
use crate::cli::verify::{as_json, human_list};
use crate::cli::{Error, Exit, io};
use crate::store::backup::{Fate, Report, Since, backup};
use crate::words::{Count, List, Shown};

/// Copies, and says what was copied and what has changed.
pub(super) fn run(args: &Backup) -> Result<Exit, Error> {
    match backup(&args.out, &args.to, args.with_faults)? {
        Fate::Refused(verdict) => {
            match args.format {
                ShowFormat::Json => {
                    let json = json!({ "copied": false, "found": as_json(&verdict) });
                    io::print(&format!("{json:#}\n"));
                }
                ShowFormat::Human => io::print(&human_list(&verdict, &args.out)),
            }
            io::eprint(&format!(
                "`{}` is damaged: nothing was copied, and what `{}` holds is as it was\n  help: mend it, from the \
                 last copy if need be; or copy it as it is with `--with-faults`: the copy before is kept then\n",
                args.out.shown(),
                args.to.shown()
            ));
            Ok(Exit::Findings)
        }
        Fate::Copied(report) => {
            match args.format {
                ShowFormat::Json => io::print(&format!("{:#}\n", json_of(&report))),
                ShowFormat::Human => io::print(&human(&report)),
            }
            Ok(if report.verdict.is_clean() { Exit::Done } else { Exit::Findings })
        }
    }
}

fn human(report: &Report) -> String {
    let Report { folder, files, verdict, since } = report;
    let mut text = human_list(verdict, folder);
    text.push_str(&format!(
        "{}: {}, {} as issued\n",
        folder.shown(),
        Count(*files, "file"),
        Count(verdict.whole, "issued file")
    ));
    text.push_str(&match since {
        None => "the first copy there\n".to_owned(),
        Some(since) => changes(since),
    });
    if let Some(anchor) = &verdict.anchor {
        text.push_str(&format!("the register ends at {anchor}\n"));
    }
    text
}

fn changes(since: &Since) -> String {
    let Since { made, issued, entered, new, changed, gone } = since;
    let mut parts = Vec::new();
    let mut part = |count: usize, words: String| {
        if count > 0 {
            parts.push(words);
        }
    };
    part(*issued, format!("{} issued", Count(*issued, "document")));
    part(*entered, format!("{} of what has gone", Count(*entered, "entry")));
    for (files, how) in [(new, "new"), (changed, "changed"), (gone, "gone")] {
        part(files.len(), format!("{} {how} ({})", Count(files.len(), "other file"), some_of(files)));
    }
    match parts.is_empty() {
        true => format!("nothing has changed since the copy of {made}\n"),
        false => format!("since the copy of {made}: {}\n", List::and(parts)),
    }
}

fn json_of(report: &Report) -> serde_json::Value {
    let since = report.since.as_ref().map(|since| {
        let Since { made, issued, entered, new, changed, gone } = since;
        json!({
            "made": made,
            "issued": issued,
            "entered": entered,
            "new": new,
            "changed": changed,
            "gone": gone,
        })
    });
    json!({
        "copied": true,
        "folder": report.folder.exact(),
        "files": report.files,
        "found": as_json(&report.verdict),
        "since": since,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_are_said_in_a_line() {
        let made = "2026-11-27T18:00:00Z".to_owned();
        let nothing = Since { made, ..Since::default() };
        assert_eq!(changes(&nothing), "nothing has changed since the copy of 2026-11-27T18:00:00Z\n");
        let some = Since {
            issued: 8,
            entered: 1,
            new: (1..=7).map(|at| format!("lists/{at}.pdf")).collect(),
            gone: vec!["a\nb".into()],
            ..nothing
        };
        assert_eq!(
            changes(&some),
            "since the copy of 2026-11-27T18:00:00Z: 8 documents issued, 1 entry of what has gone, 7 other files new \
             (`lists/1.pdf`, `lists/2.pdf`, `lists/3.pdf`, `lists/4.pdf`, `lists/5.pdf` and 2 more) and 1 other file \
             gone (`a\\nb`)\n"
        );
    }
}
