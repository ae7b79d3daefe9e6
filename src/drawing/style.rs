//! The one palette and type scale of all figures.
//!
//! Dark ink on a warm light card, so that the same picture reads in sunlight and inside a dark chat. Every ink here
//! stands at 4.5 : 1 or better against the card and against its own tint (WCAG 2.2, 1.4.3).

/// Width of a figure's drawing surface in user units: one unit is about one pixel of a narrow phone.
pub const WIDTH: f64 = 360.0;
/// Free edge left and right.
pub const EDGE: f64 = 14.0;

pub const CARD: &str = "#fbf9f2";
pub const PLAIN: &str = "#efece1";
pub const RULE: &str = "#8d8a7f";
pub const INK: &str = "#11181f";
pub const FAINT: &str = "#4d5761";
pub const STEEL: &str = "#d6dce0";
pub const STEEL_DARK: &str = "#aab4bb";

/// The thing asked about.
pub const CHOSEN: &str = "#0b4a86";
pub const CHOSEN_TINT: &str = "#cfe3f6";
/// An edge, arrow or face the hand must look for.
pub const LOOK: &str = "#a83800";
pub const LOOK_TINT: &str = "#ffdcc2";

pub const DONE: &str = "#135c33";
pub const DONE_TINT: &str = "#cdebd3";
pub const HOLD: &str = "#7a4a00";
pub const HOLD_TINT: &str = "#fde7b0";
pub const STOP: &str = "#a31621";
pub const STOP_TINT: &str = "#fad3d1";

/// Where a line of text hangs on its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// How text is set: size in user units, weight, colour, anchor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Type {
    pub size: f64,
    pub bold: bool,
    pub ink: &'static str,
    pub anchor: Anchor,
}

const fn set(size: f64, bold: bool, ink: &'static str) -> Type {
    Type { size, bold, ink, anchor: Anchor::Start }
}

pub const HEADING: Type = set(18.0, true, INK);
pub const SECTION: Type = set(15.0, true, INK);
pub const BODY: Type = set(15.0, false, INK);
pub const SMALL: Type = set(14.0, false, FAINT);
pub const LETTER: Type = set(14.0, true, INK);

impl Type {
    pub const fn bold(self) -> Self {
        Self { bold: true, ..self }
    }
    pub const fn ink(self, ink: &'static str) -> Self {
        Self { ink, ..self }
    }
    pub const fn middle(self) -> Self {
        Self { anchor: Anchor::Middle, ..self }
    }
    pub const fn end(self) -> Self {
        Self { anchor: Anchor::End, ..self }
    }
    /// Distance between the baselines of two lines; the font's own box is 1.164 high.
    pub const fn leading(self) -> f64 {
        self.size * 1.3
    }
}

/// How a shape is painted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paint {
    pub fill: &'static str,
    pub stroke: &'static str,
    pub width: f64,
    pub dash: &'static str,
}

impl Paint {
    pub const fn fill(fill: &'static str) -> Self {
        Self { fill, stroke: "none", width: 0.0, dash: "" }
    }
    pub const fn line(stroke: &'static str, width: f64) -> Self {
        Self { fill: "none", stroke, width, dash: "" }
    }
    pub const fn edged(self, stroke: &'static str, width: f64) -> Self {
        Self { stroke, width, ..self }
    }
    pub const fn dashed(self) -> Self {
        Self { dash: "5 4", ..self }
    }
    /// The long and short dashes of a centre line.
    pub const fn centre_line(self) -> Self {
        Self { dash: "12 3 2 3", ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Contrast of two colours by the formula of WCAG 2.2 (relative luminance, 1.4.3).
    fn contrast(a: &str, b: &str) -> f64 {
        let luminance = |colour: &str| {
            let parts = [1, 3, 5].map(|at| u8::from_str_radix(colour.get(at..at + 2).unwrap_or("00"), 16).unwrap_or(0));
            let linear = parts.map(|part| {
                let share = f64::from(part) / 255.0;
                if share <= 0.040_45 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
            });
            0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn ink_reads_on_every_ground_it_is_set_on() {
        assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
        for (ink, ground) in [
            (INK, CARD),
            (INK, STEEL_DARK),
            (FAINT, CARD),
            (FAINT, PLAIN),
            (CHOSEN, CARD),
            (CHOSEN, CHOSEN_TINT),
            (CARD, CHOSEN),
            (LOOK, CARD),
            (LOOK, STEEL),
            (DONE, DONE_TINT),
            (CARD, DONE),
            (HOLD, HOLD_TINT),
            (STOP, STOP_TINT),
            (STOP, CARD),
        ] {
            assert!(contrast(ink, ground) >= 4.5, "{ink} on {ground}: {:.2}", contrast(ink, ground));
        }
    }
}
