//! The phone page: in a real Chromium at phone size, and by hand-written requests. Pictures land in `shots/`.

mod access;
mod board;
mod camera;
mod chromium;
mod contrast;
mod join;
mod library;
mod live;
mod look;
mod offline;
mod prints;
pub mod rig;
mod sums;
mod talk;
mod taste;
mod walk;
mod wall;
mod whole;
pub mod wire;
