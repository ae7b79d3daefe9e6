//! The metals a fit can be of: those whose stiffness and expansion are both known.

use clap::ValueEnum;

use crate::desk::Trouble;
use crate::maths::elastic::{self, Elastic};
use crate::maths::materials::{self, Material};

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum MetalName {
    Steel,
    AlloySteel,
    CastIron,
    DuctileIron,
    Aluminium,
    Bronze,
}

impl MetalName {
    fn id(self) -> Result<String, Trouble> {
        let value = self.to_possible_value().ok_or_else(|| anyhow::anyhow!("a metal is hidden"))?;
        Ok(value.get_name().to_owned())
    }

    pub fn elastic(self) -> Result<&'static Elastic, Trouble> {
        let id = self.id()?;
        Ok(elastic::elastic(&id).ok_or_else(|| anyhow::anyhow!("the metal {id} has no stiffness"))?)
    }

    pub fn material(self) -> Result<&'static Material, Trouble> {
        let id = self.id()?;
        Ok(materials::material(&id).ok_or_else(|| anyhow::anyhow!("the metal {id} has no expansion"))?)
    }
}
