//! How values are written into the record: words that never change, and numbers that come back exactly.

use serde::{Deserialize, Serialize};

use crate::quantity::Dimension;

/// A number as its shortest decimal text. JSON readers differ in how they round a number's last digit; text does not.
pub(super) mod exact {
    use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error};

    struct Exact(f64);

    impl Serialize for Exact {
        fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
            to.collect_str(&format_args!("{:?}", self.0))
        }
    }

    impl<'de> Deserialize<'de> for Exact {
        fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
            let text = String::deserialize(from)?;
            match text.parse::<f64>() {
                Ok(value) if value.is_finite() => Ok(Self(value)),
                _ => Err(D::Error::custom(format_args!("{text:?} is not a finite number"))),
            }
        }
    }

    pub fn serialize<S: Serializer>(value: &f64, to: S) -> Result<S::Ok, S::Error> {
        Exact(*value).serialize(to)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<f64, D::Error> {
        Exact::deserialize(from).map(|exact| exact.0)
    }

    pub mod list {
        use super::*;

        pub fn serialize<S: Serializer>(values: &[f64], to: S) -> Result<S::Ok, S::Error> {
            to.collect_seq(values.iter().map(|value| Exact(*value)))
        }

        pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<f64>, D::Error> {
            Ok(Vec::<Exact>::deserialize(from)?.into_iter().map(|exact| exact.0).collect())
        }
    }

    pub mod option {
        use super::*;

        pub fn serialize<S: Serializer>(value: &Option<f64>, to: S) -> Result<S::Ok, S::Error> {
            value.map(Exact).serialize(to)
        }

        pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<f64>, D::Error> {
            Ok(Option::<Exact>::deserialize(from)?.map(|exact| exact.0))
        }
    }
}

/// The dimensions in the record's own words, so that renaming one elsewhere changes nothing on disk.
#[derive(Serialize, Deserialize)]
#[serde(remote = "Dimension", rename_all = "lowercase")]
pub(super) enum KeptDimension {
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
