//! Which way round each rod and piston goes.
