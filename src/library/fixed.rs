//! A shelf that stays as it is: the pages a phone was given.

use std::sync::Arc;

use super::Library;

/// The library in use.
pub struct Shelf(Arc<Library>);

impl Shelf {
    pub fn fixed(library: impl Into<Arc<Library>>) -> Self {
        Self(library.into())
    }

    pub fn current(&self) -> Arc<Library> {
        Arc::clone(&self.0)
    }
}
