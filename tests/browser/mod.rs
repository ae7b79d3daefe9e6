//! The phone page: in a real Chromium at phone size, and by hand-written requests. Pictures land in `shots/`.

mod join;
mod look;
mod prints;
pub mod rig;
mod sums;
mod talk;
mod walk;
mod wall;
pub mod wire;
