//! Rows of readings from a gauge or a spreadsheet: `3, 4.0002, 4.0004; 4, 4.0003, 4.0001`.
//!
//! A row ends at a line break, or at a semicolon where all stands in one line. Its fields are parted by a tab, by a comma
//! and a blank, by a semicolon where rows end at line breaks, or by blanks. A comma between two digits can be a decimal
//! mark: alone it parts fields only where every value has its point.

use super::form::LEFT_OUT;
use super::line;
use super::trouble::Refusal;
use crate::engine::plan::Check;
use crate::quantity::looks_numeric;

/// One row as it was pasted.
#[derive(Debug, PartialEq, Eq)]
pub struct Row {
    /// As counted on the sheet it came from, the header too.
    pub number: usize,
    pub text: String,
    /// The place in words, then the values.
    pub tokens: Vec<String>,
}

/// A pasted block as a line holds it: rows parted by semicolons, fields by a comma and a blank or as they were.
pub fn one_line(block: &str) -> String {
    let broken = block.trim().contains(['\n', '\r']);
    let rows = block.lines().map(str::trim_end).filter(|row| !row.trim().is_empty());
    let rows = rows.map(|row| match row {
        row if row.contains('\t') => fields(row, '\t').join(", "),
        row if broken && row.contains(';') => fields(row, ';').join(", "),
        row => row.trim().to_owned(),
    });
    rows.collect::<Vec<_>>().join("; ")
}

/// The fields of a row without the empty ones at its end.
fn fields(row: &str, mark: char) -> Vec<&str> {
    let mut fields: Vec<&str> = row.split(mark).map(str::trim).collect();
    while fields.last().is_some_and(|field| field.is_empty()) {
        fields.pop();
    }
    fields
}

/// The rows of a block that hold readings of this check. A first row without any number is a header.
pub fn read(check: &Check, block: &str) -> Result<Vec<Row>, Refusal> {
    let rows = block.split(';').map(str::trim).filter(|row| !row.is_empty());
    let mut found = Vec::new();
    for (before, text) in rows.enumerate() {
        let number = before + 1;
        let header = number == 1 && !text.split([' ', ',']).any(looks_numeric);
        if header {
            order(check, text)?;
            continue;
        }
        let tokens = tokens(text).ok_or_else(|| Refusal::new(name(number), text, COMMA))?;
        found.push(Row { number, text: text.to_owned(), tokens });
    }
    match found.is_empty() {
        true => Err(Refusal::new("rows", block.trim(), "One row at least: the place, then its readings.")),
        false => Ok(found),
    }
}

const COMMA: &str = "A comma between digits can be a decimal mark or part the fields. Part them by a tab, or by a comma and a \
                     blank, and write numbers with a point.";

/// What a refusal calls a row.
pub fn name(number: usize) -> String {
    format!("row {number}")
}

fn tokens(text: &str) -> Option<Vec<String>> {
    let text = text.trim_end_matches([',', ' ']);
    let parted: Vec<&str> = match text {
        text if text.contains(", ") => text.split(", ").map(str::trim).collect(),
        text if text.contains(',') => text.split(',').map(str::trim).collect(),
        text => return Some(line::split(text)),
    };
    let clear = text.contains(", ") || parted.iter().skip(1).all(|field| field.contains('.') || field.is_empty());
    let (place, values) = parted.split_first().filter(|_| clear)?;
    let value = |field: &&str| if field.is_empty() { LEFT_OUT.to_owned() } else { (*field).to_owned() };
    Some(line::split(place).into_iter().chain(values.iter().map(value)).collect())
}

/// A header that names the readings must name them in the order they are taken.
fn order(check: &Check, header: &str) -> Result<(), Refusal> {
    let fields = header.split(',').skip(1).map(|field| field.trim().to_lowercase());
    let moved = |(at, field): (usize, String)| {
        let own = check.readings.iter().position(|name| *name == field);
        own.is_some_and(|own| own != at)
    };
    if fields.enumerate().any(moved) {
        let possible = format!("The columns stand in another order. Put them so: {}.", check.readings.join(", "));
        return Err(Refusal::new(name(1), header, possible));
    }
    Ok(())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::engine::plan;

    fn tokens_of(check: &str, block: &str) -> Result<Vec<Vec<String>>, Refusal> {
        let rows = read(plan::built_in(check).unwrap(), &one_line(block))?;
        Ok(rows.into_iter().map(|row| row.tokens).collect())
    }

    #[test]
    fn every_way_a_gauge_or_a_sheet_writes_rows() {
        let wanted = vec![vec!["3", "2.4495", "2.4493"], vec!["4", "2.4496", "2.4494"]];
        for block in [
            "3\t2.4495\t2.4493\n4\t2.4496\t2.4494\n",
            "3\t2.4495\t2.4493\r\n4\t2.4496\t2.4494\t\t\r\n",
            "3;2.4495;2.4493\n4;2.4496;2.4494",
            "3, 2.4495, 2.4493\n4, 2.4496, 2.4494",
            "3,2.4495,2.4493\n4,2.4496,2.4494",
            "3 2.4495 2.4493\n\n4  2.4496  2.4494",
            "3 2.4495 2.4493; 4 2.4496 2.4494",
            "3, 2.4495, 2.4493; 4, 2.4496, 2.4494;",
            "Main\tfront vertical\tfront horizontal\n3\t2.4495\t2.4493\n4\t2.4496\t2.4494",
            "Journal, d1, d2\n3, 2.4495, 2.4493\n4, 2.4496, 2.4494",
        ] {
            assert_eq!(tokens_of("main-journal", block).unwrap(), wanted, "{block:?}");
        }
        assert_eq!(tokens_of("ring-gap", "3 top\t0.0205 in").unwrap(), [["3", "top", "0.0205 in"]]);
        assert_eq!(tokens_of("ring-gap", "3 top,0.0205\n3 second,.0215").unwrap()[1], ["3", "second", ".0215"]);
    }

    #[test]
    fn a_field_left_empty_keeps_its_place() {
        for block in ["3\t\t2.4493", "3;;2.4493\n", "3, , 2.4493", "3,,2.4493"] {
            let block = format!("{block}\n4\t2.4496\t2.4494");
            assert_eq!(tokens_of("main-journal", &block).unwrap()[0], ["3", "-", "2.4493"], "{block:?}");
        }
    }

    #[test]
    fn a_comma_that_can_be_a_decimal_mark_is_asked_about() {
        for block in ["3,2,4495,2,4493", "3,150", "1 2,4495 2,4493"] {
            let refused = tokens_of("main-journal", block).unwrap_err();
            assert_eq!((refused.input.as_str(), refused.possible.as_str()), ("row 1", COMMA), "{block}");
        }
        // Parted by something else, the value itself is refused when it is read.
        assert_eq!(tokens_of("main-journal", "3\t2,4495\t2,4493").unwrap(), [["3", "2,4495", "2,4493"]]);
    }

    #[test]
    fn columns_in_another_order_are_refused() {
        let refused =
            tokens_of("main-journal", "Main\tfront horizontal\tfront vertical\n3\t2.4495\t2.4493").unwrap_err();
        assert!(refused.possible.contains("front vertical, front horizontal"), "{refused:?}");
        assert!(tokens_of("main-journal", "Main\tvertical").is_err(), "a header alone posts nothing");
    }
}
