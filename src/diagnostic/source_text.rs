//! A file that was read: its name, its text, and which line and column an offset has.

use std::sync::OnceLock;

/// A half-open range of byte offsets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// The range `start..end`.
    pub const fn new(start: usize, end: usize) -> Span {
        Span { start, end }
    }
}

/// The text of one file, with its lines counted once, when a place is first asked for: most files have no finding.
#[derive(Debug, Clone)]
pub struct SourceText {
    name: String,
    text: String,
    line_starts: OnceLock<Vec<usize>>,
}

impl SourceText {
    /// `name` is what messages print: the path as the user gave it.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> SourceText {
        SourceText { name: name.into(), text: text.into(), line_starts: OnceLock::new() }
    }

    /// The file name as the user gave it.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Line and column of a byte offset, both from 1; columns count characters.
    pub fn line_column(&self, offset: usize) -> (usize, usize) {
        let offset = offset.min(self.text.len());
        let line_starts = self.line_starts();
        let line = line_starts.partition_point(|start| *start <= offset).max(1);
        let start = line_starts[line - 1];
        let column = self.text.get(start..offset).map_or(0, |before| before.chars().count());
        (line, column + 1)
    }

    fn line_starts(&self) -> &[usize] {
        self.line_starts.get_or_init(|| {
            let behind = self.text.match_indices('\n').map(|(at, _)| at + 1);
            std::iter::once(0).chain(behind).collect()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_not_bytes() {
        let source = SourceText::new("x.yaml", "a: é\nb: 2\n");
        assert_eq!(source.line_column(0), (1, 1));
        assert_eq!(source.line_column(5), (1, 5), "the newline stands after one two-byte letter");
        assert_eq!(source.line_column(6), (2, 1));
        assert_eq!(source.line_column(999), (3, 1));
    }
}
