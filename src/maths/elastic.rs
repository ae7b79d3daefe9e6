//! Elastic constants of the metals that are pressed into one another.
//!
//! Shigley, table A-5 (from memory); nodular iron EN 1563 (from memory). An alloy's own sheet wins. Each has its expansion
//! in [`super::materials`] under the same id.

use crate::quantity::{Measure, Pressure};

/// A metal's stiffness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Elastic {
    /// The id it has among the materials.
    pub id: &'static str,
    modulus: f64,
    /// Poisson's ratio.
    pub poisson: f64,
}

impl Elastic {
    /// Young's modulus.
    pub fn modulus(&self) -> Pressure {
        Pressure::from_si(self.modulus)
    }
}

/// Every metal known here.
pub static ELASTIC: &[Elastic] = &[
    Elastic { id: "steel", modulus: 207e9, poisson: 0.292 },
    Elastic { id: "alloy-steel", modulus: 207e9, poisson: 0.291 },
    Elastic { id: "cast-iron", modulus: 100e9, poisson: 0.211 },
    Elastic { id: "ductile-iron", modulus: 169e9, poisson: 0.275 },
    Elastic { id: "aluminium", modulus: 71e9, poisson: 0.334 },
    Elastic { id: "bronze", modulus: 111e9, poisson: 0.349 },
];

/// The metal asked for by its id.
pub fn elastic(id: &str) -> Option<&'static Elastic> {
    ELASTIC.iter().find(|m| m.id == id)
}

#[cfg(test)]
mod tests {
    use super::super::materials::material;
    use super::*;

    #[test]
    fn every_metal_has_its_expansion() {
        for metal in ELASTIC {
            assert!(material(metal.id).is_some() && elastic(metal.id) == Some(metal), "{}", metal.id);
        }
    }
}
