//! What a figure is, and its PNG.

#[cfg(feature = "shop")]
use super::lettering::options;
#[cfg(feature = "shop")]
use resvg::tiny_skia::{Pixmap, Transform};
#[cfg(feature = "shop")]
use resvg::usvg::Tree;

/// A finished figure: `svg` stands alone, `alt` says the same in words; `width` and `height` are user units.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    pub title: String,
    pub alt: String,
    pub svg: String,
    pub width: u32,
    pub height: u32,
}

/// Why a figure has no PNG.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DrawingError {
    #[error("a figure cannot be drawn at scale {0}: it must be above 0")]
    Scale(f32),
    #[error("a figure of {width} x {height} pixels is too large: at most {most} pixels")]
    TooLarge { width: u64, height: u64, most: u64 },
    #[error("the figure is not a valid drawing: {0}")]
    Drawing(String),
    #[error("the picture could not be written as PNG: {0}")]
    Encoding(String),
}

#[cfg(feature = "shop")]
/// Most pixels of a PNG: 64 MB of memory while it is painted.
pub const MOST_PIXELS: u64 = 16_000_000;

#[cfg(feature = "shop")]
/// PNG of `figure`, `scale` pixels to the user unit.
pub fn png(figure: &Figure, scale: f32) -> Result<Vec<u8>, DrawingError> {
    if !(scale.is_finite() && scale > 0.0) {
        return Err(DrawingError::Scale(scale));
    }
    let side = |units: u32| (f64::from(units) * f64::from(scale)).ceil().clamp(1.0, 1e9) as u64;
    let (width, height) = (side(figure.width), side(figure.height));
    let too_large = DrawingError::TooLarge { width, height, most: MOST_PIXELS };
    if width * height > MOST_PIXELS {
        return Err(too_large);
    }
    let tree = Tree::from_str(&figure.svg, &options()).map_err(|fault| DrawingError::Drawing(fault.to_string()))?;
    let mut pixels = Pixmap::new(width as u32, height as u32).ok_or(too_large)?;
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixels.as_mut());
    pixels.encode_png().map_err(|fault| DrawingError::Encoding(fault.to_string()))
}
