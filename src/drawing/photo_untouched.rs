//! A photograph on a phone by itself: it is not made small for a document.

use super::DrawingError;

/// A photograph that is no larger than its place needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Small {
    pub jpeg: Vec<u8>,
    pub width: u32,
    pub height: u32,
}

pub fn small(_bytes: &[u8], _longest: u32) -> Result<Small, DrawingError> {
    Err(DrawingError::Drawing("a photograph: a phone by itself makes none small".to_owned()))
}
