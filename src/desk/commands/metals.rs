//! The metals a person can name for a part, each a row of the materials table.

use clap::ValueEnum;

use crate::desk::Trouble;
use crate::maths::elastic::{self, Elastic};
use crate::maths::materials::{self, Material};

/// Every metal of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum AnyMetal {
    CastIron,
    DuctileIron,
    Steel,
    AlloySteel,
    Aluminium,
    CastPiston,
    Hypereutectic,
    #[value(name = "4032")]
    Forged4032,
    #[value(name = "2618")]
    Forged2618,
    Bronze,
}

/// What a bore is cut in.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum BlockMetal {
    CastIron,
    DuctileIron,
    Steel,
    Aluminium,
}

/// What a piston is made of.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum PistonMetal {
    CastPiston,
    Hypereutectic,
    #[value(name = "4032")]
    Forged4032,
    #[value(name = "2618")]
    Forged2618,
    CastIron,
}

/// What a compression ring is made of.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum RingMetal {
    CastIron,
    DuctileIron,
    Steel,
}

/// What the parts of a press fit are of: metals whose stiffness and expansion are both known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FitMetal {
    Steel,
    AlloySteel,
    CastIron,
    DuctileIron,
    Aluminium,
    Bronze,
}

impl FitMetal {
    pub fn elastic(self) -> Result<&'static Elastic, Trouble> {
        let id = metal(&self)?.id;
        Ok(elastic::elastic(id).ok_or_else(|| anyhow::anyhow!("the metal {id} has no stiffness"))?)
    }
}

/// The metal a choice names, with its expansion.
pub fn metal(name: &impl ValueEnum) -> Result<&'static Material, Trouble> {
    let value = name.to_possible_value().ok_or_else(|| anyhow::anyhow!("a metal is hidden"))?;
    Ok(materials::material(value.get_name())
        .ok_or_else(|| anyhow::anyhow!("the metal {} is not in the table", value.get_name()))?)
}

/// Where the expansions of two metals come from: `expansion of grey cast iron: …; of plain carbon steel: …`.
pub fn expansion(one: &Material, other: &Material) -> String {
    match one == other {
        true => format!("expansion of {}: {}", one.name, one.source),
        false => format!("expansion of {}: {}; of {}: {}", one.name, one.source, other.name, other.source),
    }
}
