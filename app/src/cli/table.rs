//! Tables and paragraphs that fit 100 columns.

use crate::words::{self, cautions::Place};

/// The widest line of any table or paragraph.
pub const WIDTH: usize = 100;
const BETWEEN: usize = 2;

/// Which side of its column a cell keeps to.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Words. A column of words gives way when the table is too wide.
    Left,
    /// Numbers.
    Right,
}

/// The cautions of a place, each a paragraph, after an empty line.
pub fn cautions(place: Place) -> String {
    let all: String = words::cautions::at(place).map(|says| paragraph("", says, 0)).collect();
    format!("\n{all}")
}

/// Rows under their headings. Columns of words are cut short with an ellipsis until the table fits.
pub fn table(columns: &[(&str, Side)], rows: &[Vec<String>]) -> String {
    let mut widths: Vec<usize> = columns.iter().map(|(heading, _)| length(heading)).collect();
    for row in rows {
        for (width, cell) in widths.iter_mut().zip(row) {
            *width = (*width).max(length(cell));
        }
    }
    narrow(&mut widths, columns);
    let headings: Vec<String> = columns.iter().map(|(heading, _)| (*heading).to_owned()).collect();
    std::iter::once(&headings).chain(rows).map(|row| line(row, &widths, columns)).collect()
}

fn narrow(widths: &mut [usize], columns: &[(&str, Side)]) {
    let gaps = BETWEEN * columns.len().saturating_sub(1);
    while widths.iter().sum::<usize>() + gaps > WIDTH {
        let words = columns.iter().enumerate().filter(|(_, (_, side))| *side == Side::Left).map(|(index, _)| index);
        match words.filter(|index| widths[*index] > 6).max_by_key(|index| widths[*index]) {
            Some(widest) => widths[widest] -= 1,
            None => return,
        }
    }
}

fn line(row: &[String], widths: &[usize], columns: &[(&str, Side)]) -> String {
    let cells = row.iter().zip(widths).zip(columns).map(|((cell, width), (_, side))| {
        // A name may hold the end of a line; a row may not.
        let cell = cut(cell, *width).replace('\n', " ");
        let room = " ".repeat(width - length(&cell));
        if *side == Side::Left { format!("{cell}{room}") } else { format!("{room}{cell}") }
    });
    let joined = cells.collect::<Vec<_>>().join(&" ".repeat(BETWEEN));
    format!("{}\n", joined.trim_end_matches(' '))
}

fn length(text: &str) -> usize {
    text.chars().count()
}

fn cut(text: &str, width: usize) -> String {
    if length(text) <= width {
        return text.to_owned();
    }
    text.chars().take(width.saturating_sub(1)).chain(['…']).collect()
}

/// A paragraph broken at spaces so that it fits beside its indent; the first line starts with `lead` instead.
pub fn paragraph(lead: &str, text: &str, indent: usize) -> String {
    let mut written = String::new();
    let mut line = format!("{lead:<indent$}");
    let mut is_bare = true;
    for word in text.split([' ', '\n']).filter(|word| !word.is_empty()) {
        if !is_bare && length(&line) + 1 + length(word) > WIDTH {
            written.push_str(line.trim_end_matches(' '));
            written.push('\n');
            line = " ".repeat(indent);
            is_bare = true;
        }
        if !is_bare {
            line.push(' ');
        }
        line.push_str(word);
        is_bare = false;
    }
    written + line.trim_end_matches(' ') + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_lines_up_and_never_exceeds_its_width() {
        let columns = [("Line", Side::Left), ("Length", Side::Right)];
        let rows = [vec!["north".to_owned(), "412 m".to_owned()], vec!["x".repeat(150), "8 m".to_owned()]];
        let text = table(&columns, &rows);
        assert!(text.lines().all(|line| length(line) <= WIDTH), "{text}");
        assert!(text.lines().nth(2).is_some_and(|line| line.contains('…') && line.ends_with("     8 m")), "{text}");
        assert_eq!(table(&columns, &rows[..1]), "Line   Length\nnorth   412 m\n");
    }

    #[test]
    fn a_paragraph_is_broken_at_spaces_only() {
        let text = paragraph("  - ", &"word ".repeat(60), 4);
        assert!(text.lines().all(|line| length(line) <= WIDTH && line.starts_with("  ")), "{text}");
        assert_eq!(text.matches("word").count(), 60);
        assert!(text.starts_with("  - word"), "{text}");
    }
}
