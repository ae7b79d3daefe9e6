//! Friction in threads and under the head as a command is given it, and the ring the head bears on.

use clap::Args;

use super::thread::Named;
use crate::desk::{Context, Refusal};
use crate::maths::bolts::Friction;
use crate::quantity::{Given, Length, Number, System, Written, show};

/// What is typed for it.
#[derive(Debug, Args)]
pub struct Rubbing {
    /// Coefficient of friction in the threads; about 0.14 with engine oil.
    #[arg(long, default_value = "0.14")]
    pub thread_friction: Given<Number>,
    /// Coefficient of friction under the head; about 0.14 with engine oil.
    #[arg(long, default_value = "0.14")]
    pub head_friction: Given<Number>,
    /// Mean diameter of the ring under the head; 1.3 thread diameters where left out.
    #[arg(long)]
    pub ring: Option<Given<Length>>,
}

/// Mean diameter of a hex head's bearing ring where none was measured, in thread diameters.
const RING: f64 = 1.3;

impl Rubbing {
    pub fn friction(&self, context: &Context) -> Result<Friction, Refusal> {
        Ok(Friction {
            thread: context.quantity("thread-friction", &self.thread_friction, None)?.0,
            head: context.quantity("head-friction", &self.head_friction, None)?.0,
        })
    }

    /// The ring, and the words for where it came from.
    pub fn ring(
        &self,
        context: &Context,
        named: &Named,
        lean: Option<System>,
        lead: System,
    ) -> Result<(Length, String), Refusal> {
        match &self.ring {
            Some(ring) => {
                let ring = context.quantity("ring", ring, lean)?;
                Ok((ring, format!("bearing ring {} mean, as given", show::length_in(ring, lead))))
            }
            None => {
                let ring = named.thread.diameter * RING;
                Ok((ring, format!("bearing ring {} mean, taken as 1.3 thread diameters", show::length_in(ring, lead))))
            }
        }
    }

    pub fn typed(&self) -> Vec<(&'static str, &Written)> {
        let mut typed =
            vec![("thread friction", self.thread_friction.written()), ("head friction", self.head_friction.written())];
        typed.extend(self.ring.as_ref().map(|r| ("ring", r.written())));
        typed
    }
}
