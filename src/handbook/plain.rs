//! A page of the handbook for a terminal. Knows the Markdown that the pages use, and no more: headings,
//! paragraphs, lists, tables, examples between fences, and marks that nobody is to see.

use crate::words;

/// Columns of a page.
const WIDTH: usize = 80;
/// The last column of a table is not made narrower than this; below it the row is set as a paragraph.
const LEAST_LAST: usize = 24;
/// No other column of a table is wider.
const MOST_OTHER: usize = 26;

/// The text without marks of Markdown but the backticks.
pub(super) fn plain(markdown: &str) -> String {
    let mut page = String::new();
    let mut lines = markdown.lines().peekable();
    while let Some(line) = lines.next() {
        if line.starts_with("```") {
            for example in lines.by_ref().take_while(|line| !line.starts_with("```")) {
                page.push_str(format!("    {example}").trim_end());
                page.push('\n');
            }
        } else if line.starts_with("<!--") || line.starts_with("![") {
        } else if let Some(heading) = line.strip_prefix("# ") {
            page.push_str(&format!("{heading}\n{}\n", "=".repeat(heading.chars().count())));
        } else if line.starts_with('#') {
            page.push_str(&format!("{}\n", line.trim_start_matches('#').trim_start()));
        } else if line.starts_with('|') {
            let mut rows = vec![cells(line)];
            while let Some(row) = lines.next_if(|line| line.starts_with('|')) {
                rows.push(cells(row));
            }
            page.push_str(&table(&rows));
        } else if line.trim().is_empty() {
            if !page.ends_with("\n\n") && !page.is_empty() {
                page.push('\n');
            }
        } else {
            // A paragraph or an entry of a list, with the lines that belong to it.
            let mut text = line.to_owned();
            while let Some(more) = lines.next_if(|line| goes_on(line)) {
                text.push(' ');
                text.push_str(more.trim_start());
            }
            page.push_str(&paragraph(&text));
        }
    }
    page
}

/// The line goes on with the paragraph above it.
fn goes_on(line: &str) -> bool {
    let start = line.trim_start();
    !start.is_empty()
        && !["- ", "#", "|", "```", "<!--"].iter().any(|mark| start.starts_with(mark))
        && number(start).is_none()
}

/// How many bytes the number of a list's entry has with its stop and blank: `1. `.
fn number(line: &str) -> Option<usize> {
    let digits = line.bytes().take_while(u8::is_ascii_digit).count();
    (digits > 0 && line[digits..].starts_with(". ")).then_some(digits + 2)
}

fn paragraph(text: &str) -> String {
    let space = text.len() - text.trim_start().len();
    let start = text.trim_start();
    let mark = if start.starts_with("- ") { 2 } else { number(start).unwrap_or(0) };
    let indent = " ".repeat(space + mark);
    let first = format!("{}{}", " ".repeat(space), &start[..mark]);
    let broken = broken(&inline(&start[mark..]), WIDTH - indent.len());
    let lines = broken.iter().enumerate().map(|(at, line)| {
        let before = if at == 0 { &first } else { &indent };
        format!("{before}{line}\n")
    });
    lines.collect()
}

/// Bold without its stars; of a link its words, and its address where that is a page of the web.
fn inline(text: &str) -> String {
    let text = text.replace("**", "");
    let mut said = String::new();
    let mut rest = text.as_str();
    while let Some((before, words, target, after)) = link(rest) {
        said.push_str(before);
        said.push_str(words);
        if target.starts_with("http") {
            said.push_str(&format!(" ({target})"));
        }
        rest = after;
    }
    said + rest
}

/// What stands before the first link, its words, its target, and what stands after it.
fn link(text: &str) -> Option<(&str, &str, &str, &str)> {
    let (before_target, rest) = text.split_once("](")?;
    let (before, words) = before_target.rsplit_once('[')?;
    let (target, after) = rest.split_once(')')?;
    Some((before, words, target, after))
}

/// The cells of a row; a bar that belongs to a cell is written `\|`.
fn cells(row: &str) -> Vec<String> {
    let row = row.trim().trim_start_matches('|').replace("\\|", "\u{0}");
    let row = row.strip_suffix('|').unwrap_or(&row);
    row.split('|').map(|cell| inline(cell.trim()).replace('\u{0}', "|")).collect()
}

fn table(rows: &[Vec<String>]) -> String {
    let is_rule = |row: &[String]| row.iter().all(|cell| cell.chars().all(|c| c == '-') && !cell.is_empty());
    let rows: Vec<&Vec<String>> = rows.iter().filter(|row| !is_rule(row)).collect();
    let columns = rows.iter().map(|row| row.len()).max().unwrap_or(0);
    let natural =
        |at: usize| rows.iter().filter_map(|row| row.get(at)).map(|cell| cell.chars().count()).max();
    let mut widths: Vec<usize> = (0..columns).map(|at| natural(at).unwrap_or(0).min(MOST_OTHER)).collect();
    let others: usize = widths.iter().rev().skip(1).map(|width| width + 2).sum();
    let Some(last) = widths.last_mut() else { return String::new() };
    if others + LEAST_LAST > WIDTH {
        return rows.iter().skip(1).map(|row| stacked(row, rows[0])).collect();
    }
    // What the last column does not need goes to one that was kept narrow.
    let room = WIDTH - others;
    let spare = room.saturating_sub((*last).max(natural(columns - 1).unwrap_or(0)));
    *last = room - spare;
    if let Some(at) = (0..columns - 1).find(|at| natural(*at).is_some_and(|width| width > MOST_OTHER)) {
        widths[at] += spare;
    }
    rows.iter().map(|row| beside(row, &widths)).collect()
}

/// A row whose cells stand beside each other, each broken within its column.
fn beside(row: &[String], widths: &[usize]) -> String {
    let cells: Vec<Vec<String>> = row.iter().zip(widths).map(|(cell, width)| broken(cell, *width)).collect();
    let height = cells.iter().map(Vec::len).max().unwrap_or(0);
    let line = |at: usize| {
        let parts = cells.iter().zip(widths).map(|(cell, width)| {
            let text = cell.get(at).map_or("", String::as_str);
            format!("{text}{}", " ".repeat(width.saturating_sub(text.chars().count()) + 2))
        });
        parts.collect::<String>().trim_end().to_owned() + "\n"
    };
    (0..height).map(line).collect()
}

/// A row too wide for that: the first cell on a line, the others moved in below it with the names of their
/// columns.
fn stacked(row: &[String], head: &[String]) -> String {
    let mut text = String::new();
    for (at, (cell, name)) in row.iter().zip(head).enumerate().filter(|(_, (cell, _))| !cell.is_empty()) {
        let (indent, words) = if at == 0 { ("", cell.clone()) } else { ("    ", format!("{name}: {cell}")) };
        for line in broken(&words, WIDTH - indent.len()) {
            text.push_str(&format!("{indent}{line}\n"));
        }
    }
    text
}

/// Broken into lines; of nothing there is one. What stands between backticks may be broken too: it is copied from
/// an example, not from a sentence.
fn broken(text: &str, width: usize) -> Vec<String> {
    let lines = words::broken(text, width);
    if lines.is_empty() { vec![String::new()] } else { lines }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_pages_use_is_set_plainly() {
        let page = "# A title\n\nOne **bold** line with a [page](https://example.org) and a\nsecond [file](x.md).\n\n\
                    ## Below\n\n- an entry\n  that goes on\n- another\n\n1. first\n2. second\n\n\
                    ```sh\nunguis check  case.yaml\n```\n\n<!-- made: x -->\n| a | b |\n|---|---|\n| `k` | a \\| b |\n<!-- end -->\n";
        assert_eq!(
            plain(page),
            "A title\n=======\n\nOne bold line with a page (https://example.org) and a second file.\n\n\
             Below\n\n- an entry that goes on\n- another\n\n1. first\n2. second\n\n\
             \x20   unguis check  case.yaml\n\na    b\n`k`  a | b\n"
        );
    }

    #[test]
    fn long_cells_are_broken_in_their_column() {
        let words = "word ".repeat(40);
        let page = plain(&format!("| key | what |\n|---|---|\n| `a` | {words} |\n"));
        assert!(page.lines().all(|line| line.chars().count() <= WIDTH), "{page}");
        assert!(page.lines().nth(2).is_some_and(|line| line.starts_with("     word")), "{page}");
    }
}
