//! A table at phone width: an aligned code block where it fits, otherwise a line to each row.

use super::mark;
use crate::desk::reply::{Cell, Table, Verdict, letter};

/// Columns of a code block that a phone shows without wrapping.
pub const WIDTH: usize = 36;

/// What a table is painted as.
pub enum Painted {
    /// Lines of a code block, not yet fenced.
    Code(Vec<String>),
    /// Markdown, a line to each row.
    Lines(Vec<String>),
}

/// The table in whichever form reads at phone width.
pub fn paint(table: &Table) -> Painted {
    let header: Vec<String> = table.header.iter().map(|h| flat(h)).collect();
    let rows = rows(table, letter);
    let columns = rows.iter().map(Vec::len).chain([header.len()]).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns)
        .map(|at| {
            let cells = rows.iter().filter_map(|row| row.get(at)).chain(header.get(at));
            cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
        })
        .collect();
    let total = widths.iter().sum::<usize>() + 2 * columns.saturating_sub(1);
    if columns > 0 && total <= WIDTH {
        let all = std::iter::once(&header).filter(|h| h.iter().any(|h| !h.is_empty())).chain(&rows);
        Painted::Code(all.map(|row| aligned(row, &widths)).collect())
    } else {
        // Here there is room for the whole word.
        Painted::Lines(self::rows(table, Verdict::as_str).iter().map(|row| line(&header, row)).collect())
    }
}

/// The cells as text, verdicts told by `word`.
fn rows(table: &Table, word: fn(Verdict) -> &'static str) -> Vec<Vec<String>> {
    let shown = |cell: &Cell| match cell.verdict {
        // A column of verdicts has the words already.
        Some(verdict) if flat(&cell.text) == verdict.as_str() => flat(&cell.text),
        Some(verdict) => format!("{} {}", flat(&cell.text), word(verdict)).trim_start().to_owned(),
        None => flat(&cell.text),
    };
    table.rows.iter().map(|row| row.iter().map(shown).collect()).collect()
}

/// What the letters in a table mean, where it has any.
pub fn legend(table: &Table) -> Option<String> {
    let mut seen: Vec<Verdict> = table.rows.iter().flatten().filter_map(|cell| cell.verdict).collect();
    seen.sort_by_key(|verdict| letter(*verdict));
    seen.dedup();
    let parts: Vec<String> = seen.iter().map(|v| format!("{} {}", letter(*v), v.as_str())).collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

fn aligned(row: &[String], widths: &[usize]) -> String {
    let mut out = String::new();
    for (cell, width) in row.iter().zip(widths) {
        let pad = width.saturating_sub(cell.chars().count());
        out.push_str(&mark::inside_code(cell));
        out.push_str(&" ".repeat(pad + 2));
    }
    out.trim_end().to_owned()
}

/// `**first** · header: value · header: value`.
fn line(header: &[String], row: &[String]) -> String {
    let mut parts = Vec::new();
    for (at, cell) in row.iter().enumerate().filter(|(_, cell)| !matches!(cell.as_str(), "" | "-")) {
        let cell = mark::escape(cell);
        parts.push(match header.get(at).filter(|h| !h.is_empty()) {
            _ if at == 0 => format!("**{cell}**"),
            Some(header) => format!("{}: {cell}", mark::escape(&header.to_lowercase())),
            None => cell,
        });
    }
    parts.join(" · ")
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::reply::Verdict;

    fn table(header: &[&str], rows: &[&[&str]]) -> Table {
        Table {
            caption: String::new(),
            header: header.iter().map(ToString::to_string).collect(),
            rows: rows.iter().map(|row| row.iter().map(|c| Cell::from(*c)).collect()).collect(),
        }
    }

    #[test]
    fn a_narrow_table_is_aligned() {
        let mut table = table(&["Main", "Size"], &[&["1", "2.4498 in"], &["12", "2.4495 in"]]);
        table.rows[1][1].verdict = Some(Verdict::Out);
        let Painted::Code(lines) = paint(&table) else { panic!("it fits") };
        assert_eq!(lines, ["Main  Size", "1     2.4498 in", "12    2.4495 in O"]);
        assert_eq!(legend(&table).as_deref(), Some("O out"));
    }

    #[test]
    fn a_wide_table_is_a_line_to_each_row() {
        let mut wide = table(
            &["Check", "At", "Min", "Max", "Basis"],
            &[&["crank end float", "-", "0.004 in", "0.008 in", "common *practice*"]],
        );
        wide.rows[0][3].verdict = Some(Verdict::Out);
        let Painted::Lines(lines) = paint(&wide) else { panic!("it does not fit") };
        assert_eq!(lines, [r"**crank end float** · min: 0.004 in · max: 0.008 in out · basis: common \*practice\*"]);
        wide.rows[0][4] = Cell { text: "out".to_owned(), verdict: Some(Verdict::Out), line: None };
        let Painted::Lines(lines) = paint(&wide) else { panic!("it does not fit") };
        assert!(lines[0].ends_with("basis: out"), "a word is not said twice: {lines:?}");
    }
}
