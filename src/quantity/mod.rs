//! Typed quantities: what a length, a volume or a torque is, how the shop writes one, and how one is shown.
//!
//! Every quantity is a `uom` type in SI; this room reads shop notation into them ([`Given`]) and writes them
//! out in inch and metric ([`show`]). Nothing here knows what the quantity is for.

mod edge;
mod read;
pub mod show;
mod units;

pub use edge::{above, below};
pub use read::{Given, Misread, Written, is_unit_word, looks_numeric, read, read_si, system_of};
pub use units::{System, UNITS, Unit, named_in, unit_for};
pub use uom::si::f64::{
    Acceleration, Angle, AngularVelocity as Turning, Area, Force, Length, Mass, Pressure, TemperatureInterval,
    ThermodynamicTemperature as Temperature, Torque, Velocity, Volume,
};

use uom::si::{
    angle::radian, angular_velocity::radian_per_second, area::square_meter, force::newton, length::meter,
    mass::kilogram, pressure::pascal, thermodynamic_temperature::kelvin, torque::newton_meter, volume::cubic_meter,
};

/// The kinds of quantity a person types.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dimension {
    Length,
    Area,
    Volume,
    Torque,
    Force,
    Pressure,
    Mass,
    Angle,
    Temperature,
    Turning,
    Viscosity,
    Share,
    Stiffness,
    Number,
}

impl Dimension {
    /// What a refusal calls it: `an angle`.
    pub fn one(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Volume => "a volume",
            Self::Torque => "a torque",
            Self::Force => "a force",
            Self::Pressure => "a pressure",
            Self::Mass => "a weight",
            Self::Angle => "an angle",
            Self::Temperature => "a temperature",
            Self::Turning => "a speed of rotation",
            Self::Viscosity => "a viscosity",
            Self::Share => "a percentage",
            Self::Stiffness => "a spring rate",
            Self::Number => "a plain number",
        }
    }
}

/// A type that a [`Given`] can become: a quantity kept in SI.
pub trait Measure: Copy + Send + Sync + 'static {
    const DIMENSION: Dimension;
    fn from_si(si: f64) -> Self;
    fn si(self) -> f64;
}

macro_rules! measure {
    ($type:ty, $dimension:ident, $unit:ty) => {
        impl Measure for $type {
            const DIMENSION: Dimension = Dimension::$dimension;
            fn from_si(si: f64) -> Self {
                Self::new::<$unit>(si)
            }
            fn si(self) -> f64 {
                self.get::<$unit>()
            }
        }
    };
}

measure!(Length, Length, meter);
measure!(Area, Area, square_meter);
measure!(Volume, Volume, cubic_meter);
measure!(Torque, Torque, newton_meter);
measure!(Force, Force, newton);
measure!(Pressure, Pressure, pascal);
measure!(Mass, Mass, kilogram);
measure!(Angle, Angle, radian);
measure!(Temperature, Temperature, kelvin);
measure!(Turning, Turning, radian_per_second);

/// A plain number: a factor, a count, a coefficient. No unit is taken.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Number(pub f64);

impl Measure for Number {
    const DIMENSION: Dimension = Dimension::Number;
    fn from_si(si: f64) -> Self {
        Self(si)
    }
    fn si(self) -> f64 {
        self.0
    }
}

/// Dynamic viscosity, Pa s.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Viscosity(pub f64);

impl Measure for Viscosity {
    const DIMENSION: Dimension = Dimension::Viscosity;
    fn from_si(si: f64) -> Self {
        Self(si)
    }
    fn si(self) -> f64 {
        self.0
    }
}

/// A share of one: 0.25 is 25 %.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Share(pub f64);

impl Measure for Share {
    const DIMENSION: Dimension = Dimension::Share;
    fn from_si(si: f64) -> Self {
        Self(si)
    }
    fn si(self) -> f64 {
        self.0
    }
}

/// A spring's rate in newtons per metre.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Stiffness(pub f64);

impl Measure for Stiffness {
    const DIMENSION: Dimension = Dimension::Stiffness;
    fn from_si(si: f64) -> Self {
        Self(si)
    }
    fn si(self) -> f64 {
        self.0
    }
}

/// Short constructors for lengths, used wherever a length is written in code.
pub fn inches(value: f64) -> Length {
    Length::from_si(value * 0.0254)
}

/// A length from millimetres.
pub fn millimetres(value: f64) -> Length {
    Length::from_si(value * 1e-3)
}

/// A length in inches.
pub fn in_inches(length: Length) -> f64 {
    length.si() / 0.0254
}

/// A length in millimetres.
pub fn in_millimetres(length: Length) -> f64 {
    length.si() * 1e3
}
