//! Figures: SVG from plain data, and PNG from SVG.
//!
//! Each figure is one file with one input struct; none knows an engine, a page or a record. Every view from above
//! has FRONT at the top, so that a person turns the phone once, beside the block, and never again.

pub mod bolt_order;
pub mod bore_map;
mod canvas;
pub mod clearance_strip;
pub mod curves;
pub mod engine_map;
pub mod gap_bars;
mod lettering;
pub mod matrix;
pub mod orientation;
pub mod paper;
pub mod photo;
mod picture;
mod pin_view;
mod piston_view;
pub mod plan;
pub mod qr;
pub mod ring_clock;
pub mod runout_polar;
pub mod scale_rows;
pub mod stages;
mod style;
mod tiles;

pub use picture::{DrawingError, Figure, png};

use crate::quantity::System;
use crate::quantity::show::number;
use style::{DONE, DONE_TINT, FAINT, HOLD, HOLD_TINT, INK, PLAIN, STOP, STOP_TINT};

/// What a judged reading or a cell of the job matrix is marked with: a letter, a shape and a colour, never colour alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mark {
    Within,
    Marginal,
    Out,
    NoLimit,
    Open,
    Accepted,
    Returned,
}

impl Mark {
    /// Every mark, in the order a legend lists them.
    pub const ALL: [Self; 7] =
        [Self::Within, Self::Marginal, Self::Out, Self::NoLimit, Self::Open, Self::Accepted, Self::Returned];

    /// The word a legend and the alt text use.
    pub fn word(self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::Marginal => "marginal",
            Self::Out => "out",
            Self::NoLimit => "no limit",
            Self::Open => "open",
            Self::Accepted => "accepted",
            Self::Returned => "returned",
        }
    }

    /// The letter painted in the shape.
    pub fn letter(self) -> &'static str {
        match self {
            Self::Within => "W",
            Self::Marginal => "M",
            Self::Out => "O",
            Self::NoLimit => "N",
            Self::Open => "·",
            Self::Accepted => "✓",
            Self::Returned => "R",
        }
    }

    /// Colour of the shape's edge and letter.
    fn ink(self) -> &'static str {
        match self {
            Self::Within | Self::Accepted => DONE,
            Self::Marginal => HOLD,
            Self::Out | Self::Returned => STOP,
            Self::NoLimit => INK,
            Self::Open => FAINT,
        }
    }

    /// Colour of a cell or band that carries the mark.
    fn tint(self) -> &'static str {
        match self {
            Self::Within | Self::Accepted => DONE_TINT,
            Self::Marginal => HOLD_TINT,
            Self::Out | Self::Returned => STOP_TINT,
            Self::NoLimit | Self::Open => PLAIN,
        }
    }
}

/// A hand of the engine: LEFT is the left hand of a person at the rear (flywheel end) looking forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    Left,
    Right,
}

/// An end of the crank.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum End {
    Front,
    Rear,
}

/// What a deviation or an uncertainty is counted in: the step in metres and its name.
fn small_step(system: System) -> (f64, &'static str) {
    match system {
        System::Inch => (2.54e-6, "tenths"),
        System::Metric => (1e-6, "µm"),
    }
}

/// `5 tenths`, `1 tenth`, `−2.5 µm`: so many small steps, to a tenth of one.
fn in_small_steps(steps: f64, system: System) -> String {
    let text = number((steps * 10.0).round() / 10.0).replace('-', "−");
    let (_, name) = small_step(system);
    let one = matches!(text.as_str(), "1" | "−1");
    format!("{text} {}", if one { name.trim_end_matches('s') } else { name })
}

impl Side {
    fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }

    /// -1 on the left of a picture with FRONT at the top, +1 on the right.
    fn sign(self) -> f64 {
        match self {
            Self::Left => -1.0,
            Self::Right => 1.0,
        }
    }
}

impl End {
    fn word(self) -> &'static str {
        match self {
            Self::Front => "FRONT",
            Self::Rear => "REAR",
        }
    }

    /// -1 toward the top of a picture with FRONT at the top, +1 toward its foot.
    fn sign(self) -> f64 {
        match self {
            Self::Front => -1.0,
            Self::Rear => 1.0,
        }
    }

    fn other(self) -> Self {
        match self {
            Self::Front => Self::Rear,
            Self::Rear => Self::Front,
        }
    }
}
