//! Figures: every text stays on the card and clear of every other, any input can be drawn, and what is drawn means what
//! it should. To look at all sample figures: `FIGURES=/some/folder cargo test drawing -- --ignored paint`.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod anything;
mod layout;
mod meaning;
mod samples;
