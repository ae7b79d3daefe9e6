//! When a calibration is due: a date, or how long from today.

use jiff::Span;
use jiff::civil::Date;

use crate::desk::Refusal;

/// `2027-03-01`, `12 months`, `1 year`. Twenty years ahead or past the last century is a slip.
pub fn read(input: &str, text: &str, today: Date) -> Result<Date, Refusal> {
    let text = text.trim();
    let refused = || {
        let possible = format!("A date, such as {}, or how long from today, such as 12 months.", later(today, 12));
        Refusal::new(input, text, possible)
    };
    let date = match text.parse::<Date>() {
        Ok(date) => date,
        Err(_) => {
            let span: Span = text.parse().map_err(|_| refused())?;
            today.checked_add(span).map_err(|_| refused())?
        }
    };
    if (1990..=i32::from(today.year()) + 20).contains(&i32::from(date.year())) { Ok(date) } else { Err(refused()) }
}

fn later(today: Date, months: i64) -> Date {
    today.checked_add(Span::new().months(months)).unwrap_or(today)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use jiff::civil::date;

    use super::*;

    #[test]
    fn a_date_or_how_long_from_today() {
        let due = |text: &str| read("due", text, date(2026, 11, 20));
        assert_eq!(due("2027-03-01"), Ok(date(2027, 3, 1)));
        assert_eq!(due("12 months"), Ok(date(2027, 11, 20)));
        assert_eq!(due("1 year"), Ok(date(2027, 11, 20)));
        for slip in ["", "soon", "2207-03-01", "1970-01-01", "2027-02-30", "99999999999 years", "3 in", "0012"] {
            assert!(due(slip).is_err(), "{slip}");
        }
    }
}
