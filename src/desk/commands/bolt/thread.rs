//! A thread as it is written: `M10`, `M10x1.25`, `3/8-24`, `#10-32`.

use crate::desk::Refusal;
use crate::maths::Rule;
use crate::maths::threads::{Area, Series, Thread};
use crate::quantity::{System, inches, millimetres, read, show};
use uom::si::area::{square_inch, square_millimeter};

const WANTED: &str = "A thread is written M10x1.25 (or M10 for coarse), 3/8-24, or #10-32.";

/// A thread with the text it was read from.
#[derive(Debug)]
pub struct Named {
    pub thread: Thread,
    pub text: String,
}

impl Named {
    /// Which system a bolt of this thread is measured in.
    pub fn system(&self) -> System {
        match self.thread.series {
            Series::Metric => System::Metric,
            Series::Inch => System::Inch,
        }
    }
}

/// The thread a text names.
pub fn thread(text: &str) -> Result<Named, Refusal> {
    let plain: String = text.chars().filter(|c| !c.is_whitespace()).collect::<String>().to_lowercase();
    let found = match plain.strip_prefix('m') {
        Some(metric) => self::metric(text, metric)?,
        None => self::inch(text, &plain)?,
    };
    Ok(Named { thread: found, text: text.trim().to_owned() })
}

fn metric(text: &str, body: &str) -> Result<Thread, Refusal> {
    let wrong = || Refusal::new("thread", text, WANTED);
    let (size, pitch) = match body.split_once(['x', '×', '*', '-']) {
        Some((size, pitch)) => (size, Some(pitch)),
        None => (body, None),
    };
    let size = millimetres(number(size).ok_or_else(wrong)?);
    let Some(pitch) = pitch else {
        let possible = "It has no coarse pitch known here: write the pitch too, such as M10x1.25.";
        return Thread::coarse(size).ok_or_else(|| Refusal::new("thread", text, possible));
    };
    Thread::metric(size, millimetres(number(pitch).ok_or_else(wrong)?)).map_err(|unfit| no_such(text, unfit.rule))
}

fn inch(text: &str, body: &str) -> Result<Thread, Refusal> {
    let wrong = || Refusal::new("thread", text, WANTED);
    let body = body.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    // `1-1/8-12`: the last part is the count of threads.
    let Some((size, per_inch)) =
        body.rsplit_once(['-', '×']).filter(|(size, count)| !size.is_empty() && !count.contains('/'))
    else {
        let possible = "With an inch size goes its threads to the inch, such as 3/8-24.";
        return Err(if read(body).is_ok() { Refusal::new("thread", text, possible) } else { wrong() });
    };
    let size = match size.strip_prefix('#') {
        // ASME B1.1: number sizes are 0.060 in and 0.013 in a number.
        Some(gauge) => gauge.parse::<u32>().ok().filter(|n| *n <= 12).map(|n| 0.060 + 0.013 * f64::from(n)),
        None => number(size.trim_end_matches(['"', '\''])),
    };
    let size = size.ok_or_else(wrong)?;
    let per_inch = number(per_inch).filter(|n| *n > 0.0).ok_or_else(wrong)?;
    Thread::inch(inches(size), per_inch).map_err(|unfit| no_such(text, unfit.rule))
}

fn number(text: &str) -> Option<f64> {
    read(text).ok().filter(|w| w.unit.is_none()).map(|w| w.number).filter(|n| *n > 0.0)
}

fn no_such(text: &str, rule: Rule) -> Refusal {
    let range = match rule {
        Rule::OutsideRange { low, high, dimension } => {
            format!(" Possible here: {}.", show::range(dimension, Some(low), Some(high), System::Inch))
        }
        _ => String::new(),
    };
    Refusal::new("thread", text, format!("No bolt has that diameter with that pitch.{range}"))
}

/// `0.0878 in² (56.65 mm²)`.
pub fn area(area: Area, system: System) -> String {
    let (inch, metric) = (
        format!("{} in²", show::fixed(area.get::<square_inch>(), 4)),
        format!("{} mm²", show::fixed(area.get::<square_millimeter>(), 1)),
    );
    match system {
        System::Inch => format!("{inch} ({metric})"),
        System::Metric => format!("{metric} ({inch})"),
    }
}

/// The formula of the thread's own series, by its source.
pub fn area_source(thread: &Thread) -> &'static str {
    match thread.series {
        Series::Metric => "tensile stress area 0.7854 (d - 0.9382 P)²: ISO 898-1",
        Series::Inch => "tensile stress area 0.7854 (d - 0.9743 / n)²: ASME B1.1",
    }
}

/// The same with the numbers in it.
pub fn area_working(thread: &Thread, system: System) -> String {
    let (d, p) = (show::length_in(thread.diameter, system), show::length_in(thread.pitch, system));
    let factor = match thread.series {
        Series::Metric => "0.9382",
        Series::Inch => "0.9743",
    };
    format!("stress area 0.7854 ({d} - {factor} x {p})² = {}", area(thread.stress_area(), system))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::quantity::{in_inches, in_millimetres};

    #[test]
    fn as_a_bolt_box_writes_it() {
        for (text, d, p) in [
            ("M10", 10.0, 1.5),
            ("m10x1.25", 10.0, 1.25),
            ("M10×1.0", 10.0, 1.0),
            ("M10 x 1.25", 10.0, 1.25),
            ("M11-1.5", 11.0, 1.5),
        ] {
            let found = thread(text).unwrap().thread;
            assert_eq!(found.series, Series::Metric);
            assert!(
                (in_millimetres(found.diameter) - d).abs() < 1e-9 && (in_millimetres(found.pitch) - p).abs() < 1e-9
            );
        }
        for (text, d, n) in [
            ("3/8-24", 0.375, 24.0),
            ("7/16-20UNF", 0.4375, 20.0),
            ("1-1/8-12", 1.125, 12.0),
            ("0.5-13", 0.5, 13.0),
            ("#10-32", 0.190, 32.0),
            ("1/2\"-20", 0.5, 20.0),
        ] {
            let found = thread(text).unwrap().thread;
            assert_eq!(found.series, Series::Inch);
            assert!((in_inches(found.diameter) - d).abs() < 1e-9, "{text}");
            assert!((1.0 / in_inches(found.pitch) - n).abs() < 1e-9, "{text}");
        }
    }

    #[test]
    fn what_is_no_thread_is_refused() {
        for text in
            ["", "M", "Mx", "10", "3/8", "M10x", "M10x15", "3/8-0", "3/8-2", "99-12", "#99-32", "M9.7", "-", "💥-24"]
        {
            assert_eq!(thread(text).unwrap_err().input, "thread", "{text}");
        }
    }
}
